#include <clampbook/joint/yield.h>

#include <cmath>

namespace clampbook::joint {

namespace {

Area disc(Length diameter) {
  return kPi / 4 * (diameter * diameter);
}

}  // namespace

double torsion_ratio(LeverArm thread_lever, Length diameter, TorsionModulus modulus) {
  require_positive(diameter, "section diameter");
  require_not_negative(thread_lever, "thread lever");
  const double shape = modulus == TorsionModulus::plastic ? 3 : 4;
  return shape * (thread_lever * units::of(1, units::radian) / diameter);
}

double stress_factor(LeverArm thread_lever, Length diameter, TorsionModulus modulus) {
  const double r = torsion_ratio(thread_lever, diameter, modulus);
  return std::sqrt(1 + 3 * r * r);
}

Stress equivalent_stress(Force preload, LeverArm thread_lever, Length diameter, TorsionModulus modulus) {
  require_not_negative(preload, "preload");
  return preload / disc(diameter) * stress_factor(thread_lever, diameter, modulus);
}

Force preload_at_stress(Stress stress, LeverArm thread_lever, Length diameter, TorsionModulus modulus) {
  require_positive(stress, "stress");
  return disc(diameter) * stress / stress_factor(thread_lever, diameter, modulus);
}

Force assembly_preload(const Thread& thread, Stress yield, ThreadFriction friction, double utilisation) {
  if (!(utilisation > 0 && utilisation <= 1)) {
    throw DomainError("utilisation", utilisation, "above 0 and at most 1");
  }
  return utilisation * preload_at_stress(yield, thread_lever(thread, friction), thread.stress_diameter());
}

Stress service_stress(Force bolt_load, Force assembly_preload, LeverArm thread_lever, Length diameter,
                      double residual) {
  require_not_negative(bolt_load, "bolt load");
  require_not_negative(assembly_preload, "preload");
  require_between(residual, 0, 1, "residual torsion");
  const Stress pull = bolt_load / disc(diameter);
  const Stress shear = residual * torsion_ratio(thread_lever, diameter, TorsionModulus::elastic) *
                       (assembly_preload / disc(diameter));
  return units::of(std::hypot(units::si_number(pull), std::sqrt(3.0) * units::si_number(shear)),
                   units::pascal);
}

}  // namespace clampbook::joint
