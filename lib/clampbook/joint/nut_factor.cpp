#include <clampbook/joint/nut_factor.h>

#include <cmath>

namespace clampbook::joint {

double nut_factor(const Thread& thread, const Contact& contact) {
  return lever(thread, contact) * units::of(1, units::radian) / thread.diameter();
}

double nut_factor_from_test(Torque torque, Force force, Length diameter) {
  require_positive(torque, "torque");
  require_positive(force, "force");
  require_positive(diameter, "diameter");
  const LeverArm arm = torque / force;
  return arm * units::of(1, units::radian) / diameter;
}

LeverArm lever_from_nut_factor(double nut_factor, Length diameter) {
  if (!(nut_factor > 0 && nut_factor <= 2))
    throw DomainError("nut factor", nut_factor, "above 0 and at most 2");
  return nut_factor * require_positive(diameter, "diameter") / units::of(1, units::radian);
}

Torque tightening_torque(Force preload, double nut_factor, Length diameter) {
  return require_not_negative(preload, "preload") * lever_from_nut_factor(nut_factor, diameter);
}

Force preload(Torque torque, double nut_factor, Length diameter) {
  return require_not_negative(torque, "torque") / lever_from_nut_factor(nut_factor, diameter);
}

double friction_from_lever(LeverArm k, const Thread& thread, Length seat_diameter) {
  require_positive(k, "lever");
  require_positive(seat_diameter, "seat diameter");
  // Everything over d2/2, so that the coefficients are bare numbers of order one.
  const Length half = thread.pitch_diameter() / 2.0;
  const double arm = k * units::of(1, units::radian) / half;
  const double seat = seat_diameter / 2.0 / half;
  const double slope = thread.lead_tangent();
  const double a = -seat * slope * kFlankFactor;
  const double b = kFlankFactor + seat + arm * slope * kFlankFactor;
  const double c = slope - arm;
  if (!(c <= 0)) throw DomainError("lever", units::si_number(k), "not shorter than the pitch over 2 pi");
  const double root = b * b - 4 * a * c;
  // -2c/(b + sqrt) is the quadratic's small root without the cancellation of b - sqrt.
  const double friction = root < 0 ? 2 : -2 * c / (b + std::sqrt(root));
  if (!(friction <= 1))
    throw DomainError("lever", units::si_number(k), "short enough for a friction of at most 1");
  return friction;
}

}  // namespace clampbook::joint
