// Bolt and parts as springs: how much each gives for a newton, and how far the bolt twists.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/bolt.h>

namespace clampbook::joint {

/// Lengthening of a round bar for each newton: l/(E A).
[[nodiscard]] Resilience bar_resilience(Length length, Area area, Stress modulus);

/// Between the bolt's ends, by sections with the substitute lengths of VDI 2230: head 0.5 d (socket 0.4 d) on
/// the nominal area, shank pieces, free thread and 0.5 d of engaged thread on the d3 area, nut 0.4 d on the
/// nominal area, or tapped hole 0.33 d with the part's modulus.
/// throws  DomainError
/// valid   5 to 10 % against real bolts; ratios of two bolts in one joint are far better
/// source  docs/physics.md equation 5.1
[[nodiscard]] Resilience bolt_resilience(const BoltGeometry& bolt, Receiver receiver,
                                         Stress receiver_modulus);

/// Twist between head and thread for each newton metre of thread torque: shank pieces, free thread and 0.5 d
/// of engaged thread on d3, head; shear modulus E/(2 (1 + nu)).
/// source  docs/physics.md equation 5.2
[[nodiscard]] TorsionalResilience bolt_twist(const BoltGeometry& bolt);

/// A hollow frustum under a force along its axis.
///
///   ln[(D1 + dh)(D2 - dh)/((D1 - dh)(D2 + dh))] / (E pi dh tan(phi))      D2 = D1 + 2 t tan(phi)
///
/// in      small_diameter > hole;  tangent  0 .. 10, where 0 is the sleeve
/// source  docs/physics.md equation 5.3
[[nodiscard]] Resilience frustum_resilience(Length thickness, Length small_diameter, Length hole,
                                            double tangent, Stress modulus);

/// tan(phi_K) of the pressure cone; see docs/physics.md equation 5.4.
/// in      outer  of the part that limits the cone
[[nodiscard]] double cone_tangent(Length seat_outer, Length outer, Length grip, Receiver receiver);

/// The clamped parts alone: a cone from the seat (two for a nut, meeting in the middle), a sleeve where the
/// cone is wider than the layer, cut at every layer. The narrowest layer that the cone would reach sets its
/// angle.
/// throws  DomainError
/// source  docs/physics.md section 5
[[nodiscard]] Resilience parts_resilience(const ClampedParts& parts, Length grip);

/// The springs of a joint: all that tightening needs to know of its shape while it is elastic.
struct JointSprings {
  Resilience bolt;            ///< delta_S
  Resilience parts;           ///< delta_P
  TorsionalResilience twist;  ///< psi
};
[[nodiscard]] JointSprings joint_springs(const BoltGeometry& bolt, const ClampedParts& parts);

/// 1/resilience.
[[nodiscard]] Stiffness stiffness(Resilience resilience);

}  // namespace clampbook::joint
