// Which of a few bolts is unlike the others: each is held against all the rest, with a scale that a small
// group can't learn by itself and therefore takes in part from what is usual.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/posterior.h>

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace clampbook::joint {

/// What a feature says of a bolt when it alone is odd.
enum class Feature {
  final_torque,  ///< ln T2
  gradient,      ///< ln of (T2 - T1) over the angle between them
  seating,       ///< ln of the angle turned on the way to T1
  force,         ///< ln of the force at the end up to a factor that all share: friction cancels
};

struct OddBolt {
  std::size_t bolt = 0;  ///< position in the group
  Feature feature = Feature::final_torque;
  double score = 0;  ///< how many scales it lies off the others' mean; above zero: high
  double alarm = 0;  ///< the level from which it counts, so that 5 % of sound groups raise one
};

inline constexpr std::size_t kFewestAlike = 4, kMostAlike = 24;

/// The odd bolts of a group, the oddest first. All evidence has a final torque and the same stages. Groups
/// of fewer than 4 and of more than 24 bolts say nothing. Two odd bolts among four hide each other.
/// source  docs/physics.md, "The odd one out"
[[nodiscard]] std::vector<OddBolt> odd_bolts(std::span<const BoltEvidence> evidence);

/// The largest score in the group, its feature and its alarm level; nothing where odd_bolts() says nothing.
[[nodiscard]] std::optional<OddBolt> oddest_bolt(std::span<const BoltEvidence> evidence);

}  // namespace clampbook::joint
