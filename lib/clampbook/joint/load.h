// A tightened joint under a load along its axis: who carries how much of it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/resilience.h>

namespace clampbook::joint {

/// Share of an axial load that reaches the bolt, load applied under the head: delta_P/(delta_S + delta_P).
/// source  docs/physics.md equation 5.5
/// throws  DomainError unless the bolt's resilience is above zero and the parts' not below
[[nodiscard]] double load_share(Resilience bolt, Resilience parts);

/// Force in the bolt, F_M + Phi F_A while the joint holds, the whole load once it gapes.
/// in      share  0 .. 1
[[nodiscard]] Force bolt_load(Force preload, double share, Force axial_load);

/// What still clamps: F_M - (1 - Phi) F_A, zero once it gapes.
[[nodiscard]] Force residual_clamp(Force preload, double share, Force axial_load);

// Turn and preload while everything is elastic and the bolt does not twist (docs/physics.md equation 5.6).

/// How far a nut travels: P angle/2pi.
[[nodiscard]] Length nut_travel(Angle angle, Length pitch);
/// Preload from a turn: travel over the springs' sum.
[[nodiscard]] Force elastic_preload(Angle angle, Length pitch, Resilience bolt, Resilience parts);
/// Turn for a preload: the inverse.
[[nodiscard]] Angle elastic_angle(Force preload, Length pitch, Resilience bolt, Resilience parts);

}  // namespace clampbook::joint
