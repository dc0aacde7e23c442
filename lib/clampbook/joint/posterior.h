// What a bolt really holds, from what was read on it: a torque, the angle turned from there, the torque at
// the end. Friction, stiffness and strength are unknown; a fixed grid over all three, no random numbers.
//
// A torque alone says nothing of friction, so nothing is said from a torque alone.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/tightening.h>

#include <optional>
#include <span>
#include <vector>

namespace clampbook::joint {

/// One pull after another on one bolt. Torques without prevailing torque.
struct BoltEvidence {
  Torque start;                       ///< T1, from which the first angle was turned; above zero
  std::vector<Angle> angles{};        ///< turned after it, each counted from rest
  std::optional<Length> stretch{};    ///< lengthening between the ends when it was done, from slack
  std::optional<Torque> final{};      ///< T2, at the end of the last angle
  std::optional<Angle> before{};      ///< turned on the way to T1, from the rest after `snug`
  std::optional<Torque> snug{};       ///< where `before` began
  std::optional<Torque> loosening{};  ///< breakaway torque when it was taken off
};

/// What is known before anything was read. Bolts of one group share it: one lubricant, one lot, one joint.
struct BoltPrior {
  Thread thread;
  Length seat_diameter;                   ///< Dm
  double thread_friction, seat_friction;  ///< medians
  double friction_sigma;  ///< standard deviation of the logarithm over all bolts of all batches
  TighteningGeometry geometry;
  Strength strength;  ///< least values, unless it was measured
};

/// Standard deviations of readings (common practice for careful work).
struct ReadingErrors {
  double torque_share = 0.012;
  Torque torque = units::of(0.1, units::newton_metre);
  Angle angle = units::of(1.3, units::degree);
  double calibration = 0.015;  ///< of the wrench, the same at T1 and T2
  Length stretch = units::of(0.007, units::millimetre);
};

/// A posterior median with the 5 % and the 95 % point.
struct Credible {
  double median, p5, p95;
};

struct BoltPosterior {
  Credible preload;  ///< N
  /// Mean of both faces. Nothing without a reading that knows it: a final torque, `before` with `snug`, or
  /// the loosening torque.
  std::optional<Credible> friction{};
  double yielded = 0;  ///< probability that it is past its yield point
};

struct GroupPosterior {
  /// One for each bolt; nothing where its readings contradict the prior beyond the 99 % point of chi-square,
  /// or where all of the grid would have broken the bolt.
  std::vector<std::optional<BoltPosterior>> bolts{};
  /// The middle of the group's friction over the prior's, from the first 64 bolts of which one tells its
  /// friction; nothing when none does.
  std::optional<Credible> friction_ratio{};
};

/// Bolts of one group, estimated together: what they share (the lubricant's batch, the joint's stiffness) is
/// learnt from all of them. Of a larger group each 64 learn from one another.
/// in      evidence  of bolts that share the prior, each with at least one angle or a stretch
/// throws  DomainError when a start torque is not above zero, a bolt has neither angle nor stretch, or the
///         prior's friction_sigma is outside 0 .. 2
/// error   docs/accuracy.md
[[nodiscard]] GroupPosterior estimate_group(const BoltPrior& prior, std::span<const BoltEvidence> evidence,
                                            const ReadingErrors& errors = {});

}  // namespace clampbook::joint
