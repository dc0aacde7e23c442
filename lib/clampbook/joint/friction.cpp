#include <clampbook/joint/friction.h>

namespace clampbook::joint {

namespace {

constexpr double kTestConstant = 0.577;  // 1/(2 cos 30 degrees), as ISO 16047 rounds it

// The friction lever T/F less the lever of the pitch, as a length.
Length friction_lever(Torque torque, Force force, Length pitch) {
  require_positive(torque, "torque");
  require_positive(force, "force");
  const LeverArm whole = torque / force;
  return whole * units::of(1, units::radian) - pitch / (2 * kPi);
}

double require_friction(double friction) {
  return require_between(friction, 0, 10, "friction from the test");
}

}  // namespace

Length mean_seat_diameter(Length outer, Length inner) {
  require_positive(outer, "seat outer diameter");
  require_positive(inner, "seat inner diameter");
  if (!(outer > inner)) {
    throw DomainError("seat outer diameter", units::si_number(outer), "larger than the hole");
  }
  return (outer + inner) / 2.0;
}

double thread_friction_from_test(Torque thread_torque, Force force, const Thread& thread) {
  return require_friction(friction_lever(thread_torque, force, thread.pitch()) /
                          (kTestConstant * thread.pitch_diameter()));
}

double seat_friction_from_test(Torque seat_torque, Force force, Length seat_diameter) {
  require_positive(seat_diameter, "seat diameter");
  require_positive(seat_torque, "torque");
  require_positive(force, "force");
  const LeverArm arm = seat_torque / force;
  return require_friction(arm * units::of(1, units::radian) / (0.5 * seat_diameter));
}

double total_friction_from_test(Torque torque, Force force, const Thread& thread, Length seat_diameter) {
  require_positive(seat_diameter, "seat diameter");
  return require_friction(friction_lever(torque, force, thread.pitch()) /
                          (kTestConstant * thread.pitch_diameter() + 0.5 * seat_diameter));
}

}  // namespace clampbook::joint
