#include <clampbook/joint/torque.h>

namespace clampbook::joint {

namespace {

const Angle kRadian = units::of(1, units::radian);

}  // namespace

LeverArm thread_lever(const Thread& thread, ThreadFriction friction) {
  const double slope = thread.lead_tangent();
  const double m = friction.coefficient() * kFlankFactor;
  // The addition theorem: no trigonometry, and exact where friction or slope vanish.
  const double t = (slope + m) / (1 - m * slope);
  return thread.pitch_diameter() / 2.0 * t / kRadian;
}

LeverArm seat_lever(const Contact& contact) {
  require_positive(contact.seat_diameter, "seat diameter");
  return contact.seat.coefficient() * contact.seat_diameter / 2.0 / kRadian;
}

LeverArm lever(const Thread& thread, const Contact& contact) {
  return thread_lever(thread, contact.thread) + seat_lever(contact);
}

Torque tightening_torque(Force preload, const Thread& thread, const Contact& contact) {
  return require_not_negative(preload, "preload") * lever(thread, contact);
}

Force preload(Torque torque, const Thread& thread, const Contact& contact) {
  return require_not_negative(torque, "torque") / lever(thread, contact);
}

Torque loosening_torque(Force preload, const Thread& thread, const Contact& contact) {
  require_not_negative(preload, "preload");
  const double slope = thread.lead_tangent();
  const double m = contact.thread.coefficient() * kFlankFactor;
  const LeverArm back = thread.pitch_diameter() / 2.0 * ((m - slope) / (1 + m * slope)) / kRadian;
  return preload * (back + seat_lever(contact));
}

TorqueSplit torque_split(const Thread& thread, const Contact& contact) {
  const LeverArm whole = lever(thread, contact);
  const LeverArm lead = thread.pitch() / (2 * kPi) / kRadian;
  TorqueSplit split{};
  split.pitch = lead / whole;
  split.thread = (thread_lever(thread, contact.thread) - lead) / whole;
  split.seat = seat_lever(contact) / whole;
  return split;
}

Torque setting_torque(Torque clamping, Torque prevailing) {
  return require_not_negative(clamping, "torque") + require_not_negative(prevailing, "prevailing torque");
}

Torque same_preload_torque(Torque stated_torque, const Thread& thread, const Contact& stated,
                           const Contact& used) {
  return tightening_torque(preload(stated_torque, thread, stated), thread, used);
}

}  // namespace clampbook::joint
