// Pressure under the head: whether the part below is crushed and the preload settles away.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/types.h>

namespace clampbook::joint {

/// The strongest bolt of a class over its least strength, for crushing and stripping (VDI 2230: 1.4 F_M for
/// yield- and angle-controlled tightening; from memory).
inline constexpr double kStrongestPreload = 1.4;
/// Rm,max over Rm,min of a property class (VDI 2230, from memory).
inline constexpr double kStrongestTensile = 1.2;

/// p = F/(pi/4 (outer^2 - inner^2))
/// in      outer  dw of the head, or what of it rests on the part;  inner  the hole, or its chamfer if wider
/// throws  DomainError unless outer > inner > 0 and F is not below zero
/// source  docs/physics.md equation 7.1
[[nodiscard]] Stress seat_pressure(Force preload, Length outer, Length inner);

/// Diameter of the face that a hard washer passes the load on to: dw + 2 thickness tan(angle), at most its
/// own. A washer spreads under 30 degrees (VDI 2230 takes 1.6 of the thickness for the diameter; from
/// memory).
[[nodiscard]] Length seat_under_washer(Length seat_outer, Length washer_outer, Length washer_thickness);

struct SeatCheck {
  Stress pressure;  ///< with the strongest bolt
  Stress limit;
  double safety;  ///< limit over pressure; crushes below 1
};
/// `assembly_preload` is the preload at 90 % of the least yield strength; the strongest bolt pulls 1.4 of it.
[[nodiscard]] SeatCheck check_seat(Force assembly_preload, Length outer, Length inner, Stress limit);

}  // namespace clampbook::joint
