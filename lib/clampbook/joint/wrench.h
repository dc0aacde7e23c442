// The torque wrench: what to set when an adapter lengthens it, and how far a reading may be off.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/types.h>

namespace clampbook::joint {

/// An adapter that moves the drive away from the wrench's own square.
struct Adapter {
  Length reach;  ///< E, square to square, not below zero
  Angle angle;   ///< from straight on: 0 lengthens, 90 degrees leaves, 180 shortens the lever
};

/// What to set, or read, so that `torque` reaches the bolt: T L/(L + E cos a).
/// in      wrench_length  L, from the square to the hand, above zero
/// throws  DomainError, also when the hand would stand at the bolt or behind it
/// source  docs/physics.md equation 10.1
[[nodiscard]] Torque wrench_setting(Torque torque, Length wrench_length, const Adapter& adapter);
/// What reaches the bolt at a setting: the inverse.
[[nodiscard]] Torque delivered_torque(Torque setting, Length wrench_length, const Adapter& adapter);

/// (indicated - reference)/reference (docs/physics.md equation 10.2)
/// throws  DomainError unless the reference is above zero
[[nodiscard]] double deviation(Torque indicated, Torque reference);

struct TorqueBand {
  Torque low;
  Torque high;
};
/// T (1 - tolerance) to T (1 + tolerance).
/// in      tolerance  0 .. 1
[[nodiscard]] TorqueBand acceptance_band(Torque torque, double tolerance);

/// What ISO 6789 lets a hand torque tool be off: 6 % when its range ends at or below 10 N·m, else 4 %.
/// source  ISO 6789-1:2017, from memory
[[nodiscard]] double permissible_deviation(Torque largest_of_tool);

}  // namespace clampbook::joint
