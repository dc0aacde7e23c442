#include <clampbook/joint/domain.h>
#include <clampbook/joint/material.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <vector>

namespace clampbook::joint {

namespace {

struct Row {
  std::string_view name;
  double modulus;
  double poisson;
  double expansion;
  double tensile;
  double shear_ratio;
  double seat_pressure;
  std::string_view grade;
};

constexpr Row kMaterials[] = {
#include <clampbook/joint/data/materials.inc>
};

constexpr SeatPressureLimit kSeatPressures[] = {
#include <clampbook/joint/data/seat_pressures.inc>
};

}  // namespace

std::span<const std::string_view> material_names() {
  static const std::vector<std::string_view> names = [] {
    std::vector<std::string_view> out;
    for (const Row& row : kMaterials) out.push_back(row.name);
    return out;
  }();
  return names;
}

Found<Material> find_material(std::string_view name) {
  for (const Row& row : kMaterials) {
    if (row.name != name) continue;
    return Material{row.name,
                    units::of(row.modulus, units::gigapascal),
                    row.poisson,
                    units::of(row.expansion * 1e-6, units::per_kelvin),
                    units::of(row.tensile, units::megapascal),
                    row.shear_ratio,
                    units::of(row.seat_pressure, units::megapascal),
                    row.grade};
  }
  std::string help = text::did_you_mean(name, material_names());
  if (help.empty())
    help = "known are " + text::list_words(material_names(), "and") + "; or write modulus: 110 GPa";
  return NotFound{fmt::format("'{}' is not a known material", name), std::move(help)};
}

Stress shear_modulus(Stress modulus, double poisson) {
  require_positive(modulus, "modulus");
  require_between(poisson, 0, 0.5, "Poisson's ratio");
  return modulus / (2 * (1 + poisson));
}

std::span<const SeatPressureLimit> seat_pressure_limits() {
  return kSeatPressures;
}

}  // namespace clampbook::joint
