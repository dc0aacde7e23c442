// Torque and preload of one bolt while it is turned: the exact form, no rounded constants.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/friction.h>

namespace clampbook::joint {

/// Lever of the thread alone: the torque that twists the bolt for each newton of preload.
///
///   c_G = d2/2 t      t = tan(phi + rho') = (tan phi + m)/(1 - m tan phi)      m = mu_thread/cos 30 deg
///
/// source  docs/physics.md equation 3.1
[[nodiscard]] LeverArm thread_lever(const Thread& thread, ThreadFriction friction);

/// Lever of the face under the turned part: mu_seat Dm/2.
/// throws  DomainError unless Dm is finite and above zero
[[nodiscard]] LeverArm seat_lever(const Contact& contact);

/// The whole lever, k = c_G + mu_seat Dm/2, so that T = k F.
/// source  docs/physics.md equation 3.2
[[nodiscard]] LeverArm lever(const Thread& thread, const Contact& contact);

/// Torque at the turned part that gives `preload`, without prevailing torque.
/// in      preload  finite, not below zero
/// throws  DomainError
[[nodiscard]] Torque tightening_torque(Force preload, const Thread& thread, const Contact& contact);

/// Preload that `torque` gives: the inverse.
/// in      torque  finite, not below zero, without prevailing torque
/// throws  DomainError
[[nodiscard]] Force preload(Torque torque, const Thread& thread, const Contact& contact);

/// Torque that loosens: positive when the thread holds by itself, negative when it would run back.
///
///   T = F [ d2/2 tan(rho' - phi) + mu_seat Dm/2 ]
///
/// source  docs/physics.md equation 3.4
[[nodiscard]] Torque loosening_torque(Force preload, const Thread& thread, const Contact& contact);

/// Shares of the tightening torque; their sum is one (docs/physics.md equation 3.3).
struct TorqueSplit {
  double pitch;   ///< F P/2pi: the only part that becomes preload
  double thread;  ///< the rest of the thread's torque
  double seat;
};
[[nodiscard]] TorqueSplit torque_split(const Thread& thread, const Contact& contact);

/// What to set on the wrench: the torque that clamps and the running torque of a lock nut or insert.
[[nodiscard]] Torque setting_torque(Torque clamping, Torque prevailing);

/// Torque for the preload that `stated_torque` gives with the friction it was stated for.
///
///   T2 = T1 k2/k1
///
/// source  docs/physics.md equation 3.9
[[nodiscard]] Torque same_preload_torque(Torque stated_torque, const Thread& thread, const Contact& stated,
                                         const Contact& used);

}  // namespace clampbook::joint
