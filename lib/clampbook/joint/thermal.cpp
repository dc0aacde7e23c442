#include <clampbook/joint/thermal.h>

#include <clampbook/joint/domain.h>

namespace clampbook::joint {

namespace {

Length growth(const HeatedLength& piece) {
  require_not_negative(piece.length, "length");
  require_finite(piece.warming, "temperature change");
  require_between(units::si_number(piece.expansion), -1e-3, 1e-3, "thermal expansion");
  return piece.length * (piece.expansion * piece.warming);
}

}  // namespace

Force thermal_gain(const HeatedLength& bolt, const std::vector<HeatedLength>& parts,
                   Resilience bolt_resilience, Resilience parts_resilience) {
  require_positive(bolt_resilience, "bolt resilience");
  require_not_negative(parts_resilience, "parts resilience");
  Length gap = units::of(0, units::metre);
  for (const HeatedLength& part : parts) gap += growth(part);
  gap -= growth(bolt);
  return gap / (bolt_resilience + parts_resilience);
}

}  // namespace clampbook::joint
