#include <clampbook/joint/nut_factor.h>
#include <clampbook/joint/tightening.h>
#include <clampbook/joint/torque.h>
#include <clampbook/plan/trace_joint.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <cmath>

namespace clampbook::plan {

namespace {

using joint::LeverArm;
using trace::Verdict;

// The 5 % and 95 % points of a normal.
constexpr double kQuantile = 1.6448536269514722;
// Outside of these no dry or greased steel lies: the curve is another fastener's.
constexpr double kLeastFriction = 0.03, kMostFriction = 0.6;

// The twist of the bolt hangs on the lever, weakly: three per cent of the turn. A few rounds settle it.
struct Solution {
  double friction;
  LeverArm lever;
  joint::TighteningModel model;
};

Solution solve(const joint::TighteningGeometry& geometry, const BoltModel& bolt, joint::Length seat_diameter,
               units::TorqueRate slope) {
  const joint::Thread& thread = bolt.thread.thread;
  const auto model_at = [&](double friction) {
    return joint::TighteningModel(
        geometry, thread, {joint::ThreadFriction(friction), joint::SeatFriction(friction), seat_diameter},
        *bolt.strength);
  };
  double friction = 0.12;
  for (int round = 0; round < 8; ++round) {
    const LeverArm lever = slope * model_at(friction).elastic_angle();
    friction = joint::friction_from_lever(lever, thread, seat_diameter);
    if (friction < kLeastFriction || friction > kMostFriction)
      throw DomainError("friction", friction, fmt::format("{} to {}", kLeastFriction, kMostFriction));
  }
  const joint::TighteningModel model = model_at(friction);
  return {friction, model.lever(), model};
}

bool torque_tells(Verdict verdict) {
  return verdict == Verdict::prevailing || verdict == Verdict::sound || verdict == Verdict::not_yielded;
}

}  // namespace

TraceJoint read_joint(const trace::Curve& curve, const trace::TraceReading& reading, const BoltModel& bolt,
                      const std::string& name) {
  TraceJoint out;
  if (!reading.slope) return out;
  const auto seat_diameter = bolt.mean_seat_diameter();
  if (!bolt.geometry || !bolt.parts || !bolt.strength || !seat_diameter) {
    out.notes.push_back(fmt::format("no clamp load and no 0.2 % point: '{}' does not say {}", name,
                                    fmt::join(bolt.missing, ", ")));
    return out;
  }
  if (reading.verdict == Verdict::retightened) {
    out.notes.emplace_back("no clamp load: the slope of a second pull is too rough");
    return out;
  }
  try {
    const auto geometry = joint::TighteningGeometry::from(*bolt.geometry, *bolt.parts);
    const Solution found = solve(geometry, bolt, *seat_diameter, *reading.slope);
    if (const auto offset = found.model.offset_angle())
      out.yield_02 = trace::offset_yield(curve, reading, *offset);
    if (!torque_tells(reading.verdict)) {
      out.notes.emplace_back("no clamp load: after such a fault torque does not tell it");
      return out;
    }
    out.friction = found.friction;
    units::Torque clamping = reading.end_torque;
    if (reading.prevailing) clamping -= *reading.prevailing;
    if (units::si_number(clamping) <= 0) return out;
    const joint::Force preload = clamping / found.lever;
    const double factor = std::exp(kQuantile * kTracePreloadVariation);
    out.preload = Estimate<joint::Force>{preload, preload / factor, preload * factor};
  } catch (const DomainError&) {
    out.notes.push_back(
        fmt::format("no clamp load: with the stiffness of '{}' the slope would take a friction "
                    "outside {} to {}; was it this fastener?",
                    name, kLeastFriction, kMostFriction));
  }
  return out;
}

}  // namespace clampbook::plan
