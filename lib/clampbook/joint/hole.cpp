#include <clampbook/joint/hole.h>

#include <fmt/format.h>

#include <cmath>
#include <span>

namespace clampbook::joint {

namespace {

struct Row {
  double diameter;
  double fine;
  double medium;
  double coarse;
};

constexpr Row kMetric[] = {
#include <clampbook/joint/data/clearance_holes.inc>
};
constexpr Row kInch[] = {
#include <clampbook/joint/data/inch_clearance_holes.inc>
};

double of_series(const Row& row, HoleSeries series) {
  switch (series) {
    case HoleSeries::fine:
      return row.fine;
    case HoleSeries::coarse:
      return row.coarse;
    case HoleSeries::medium:
      break;
  }
  return row.medium;
}

}  // namespace

Found<Length> find_clearance_hole(const Thread& thread, HoleSeries series) {
  const bool inch = thread.form() == ThreadForm::unified;
  const units::Scale<Length> unit = inch ? units::inch : units::millimetre;
  const double size = units::value_in(thread.diameter(), unit);
  for (const Row& row : inch ? std::span<const Row>(kInch) : std::span<const Row>(kMetric)) {
    if (std::abs(row.diameter - size) <= 1e-6 * size) return units::of(of_series(row, series), unit);
  }
  return NotFound{fmt::format("no standard clearance hole is known for a diameter of {:.4g} {}", size,
                              inch ? "in" : "mm"),
                  "write the hole's diameter, for example hole: 11 mm"};
}

}  // namespace clampbook::joint
