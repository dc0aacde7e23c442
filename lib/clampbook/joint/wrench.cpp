#include <clampbook/joint/wrench.h>

#include <clampbook/joint/domain.h>

#include <cmath>

namespace clampbook::joint {

namespace {

// Rounding of a cosine must not decide between a hand at the bolt and one beside it.
constexpr double kShortestLever = 1e-9;

double lever_ratio(Length wrench_length, const Adapter& adapter) {
  require_positive(wrench_length, "wrench length");
  require_not_negative(adapter.reach, "adapter reach");
  require_finite(adapter.angle, "adapter angle");
  const double ratio =
      1 + adapter.reach / wrench_length * std::cos(units::value_in(adapter.angle, units::radian));
  if (!(ratio > kShortestLever && std::isfinite(ratio))) {
    throw DomainError("adapter reach", units::si_number(adapter.reach),
                      "less than the wrench when turned back");
  }
  return ratio;
}

}  // namespace

Torque wrench_setting(Torque torque, Length wrench_length, const Adapter& adapter) {
  return require_not_negative(torque, "torque") / lever_ratio(wrench_length, adapter);
}

Torque delivered_torque(Torque setting, Length wrench_length, const Adapter& adapter) {
  return require_not_negative(setting, "setting") * lever_ratio(wrench_length, adapter);
}

double deviation(Torque indicated, Torque reference) {
  require_finite(indicated, "indicated torque");
  return (indicated - require_positive(reference, "reference torque")) / reference;
}

TorqueBand acceptance_band(Torque torque, double tolerance) {
  require_not_negative(torque, "torque");
  require_between(tolerance, 0, 1, "tolerance");
  return {torque * (1 - tolerance), torque * (1 + tolerance)};
}

double permissible_deviation(Torque largest_of_tool) {
  require_positive(largest_of_tool, "largest torque of the tool");
  return largest_of_tool <= units::of(10, units::newton_metre) ? 0.06 : 0.04;
}

}  // namespace clampbook::joint
