// The nut factor K lumps pitch and both frictions into one number: T = K d F. It is not a friction.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/torque.h>

namespace clampbook::joint {

/// K = k/d (docs/physics.md equation 3.6)
[[nodiscard]] double nut_factor(const Thread& thread, const Contact& contact);
/// K = T/(d F)
/// throws  DomainError unless all are finite and above zero
[[nodiscard]] double nut_factor_from_test(Torque torque, Force force, Length diameter);

/// k = K d
/// in      nut_factor  above 0, at most 2
[[nodiscard]] LeverArm lever_from_nut_factor(double nut_factor, Length diameter);
[[nodiscard]] Torque tightening_torque(Force preload, double nut_factor, Length diameter);
[[nodiscard]] Force preload(Torque torque, double nut_factor, Length diameter);

/// The one friction of both faces that makes the whole lever `k`: the root of a quadratic.
/// throws  DomainError when the lever is shorter than P/2pi or so long that friction would pass 1
/// source  docs/physics.md equation 3.7
[[nodiscard]] double friction_from_lever(LeverArm k, const Thread& thread, Length seat_diameter);

}  // namespace clampbook::joint
