// What the clamped parts and the tapped part are made of: one representative figure for each family.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/found.h>
#include <clampbook/joint/types.h>

#include <span>
#include <string_view>

namespace clampbook::joint {

struct Material {
  std::string_view name;
  Stress modulus;              ///< E
  double poisson;              ///< nu
  ThermalExpansion expansion;  ///< alpha, near room temperature
  Stress tensile;              ///< Rm,min of the representative grade
  double shear_ratio;          ///< tau_B / Rm
  Stress seat_pressure;        ///< pG, the pressure that the grade bears under a head
  std::string_view grade;      ///< which grade the last three figures belong to
};

/// "steel", "stainless steel", "aluminium", "grey iron", "ductile iron", "magnesium", "titanium", "bronze";
/// else fails with close matches.
/// source  data/materials.inc
[[nodiscard]] Found<Material> find_material(std::string_view name);
[[nodiscard]] std::span<const std::string_view> material_names();

/// Shear modulus E / (2 (1 + nu)).
/// in      poisson  0 .. 0.5
[[nodiscard]] Stress shear_modulus(Stress modulus, double poisson);

/// Limiting pressures under the head by grade.
/// source  data/seat_pressures.inc
struct SeatPressureLimit {
  std::string_view grade;
  double tensile_MPa;  ///< Rm,min as the table gives it
  double limit_MPa;    ///< pG
};
[[nodiscard]] std::span<const SeatPressureLimit> seat_pressure_limits();

}  // namespace clampbook::joint
