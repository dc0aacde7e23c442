// When a bolt yields while it is turned: pull and twist together.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/friction.h>
#include <clampbook/joint/strength.h>
#include <clampbook/joint/torque.h>

namespace clampbook::joint {

/// How the twist is spread over a round section. The fully plastic modulus pi D^3/12 belongs to tightening,
/// where the first yield of the skin is no limit (VDI 2230 since 2003); the elastic one, pi D^3/16, tells
/// when the skin yields and serves in service.
enum class TorsionModulus { plastic, elastic };

/// The share of assembly that VDI 2230 takes for its tables: 90 % of the yield strength.
inline constexpr double kAssemblyUtilisation = 0.9;
/// The share of the torsion that stays after the wrench is off (VDI 2230, from memory).
inline constexpr double kResidualTorsion = 0.5;

/// r: shear over tensile stress in a round section of diameter D under F and the thread torque c_G F;
/// 3 c_G/D with the plastic, 4 c_G/D with the elastic modulus.
/// source  docs/physics.md equation 4.1
[[nodiscard]] double torsion_ratio(LeverArm thread_lever, Length diameter,
                                   TorsionModulus modulus = TorsionModulus::plastic);

/// q = sqrt(1 + 3 r^2): von Mises stress over tensile stress.
[[nodiscard]] double stress_factor(LeverArm thread_lever, Length diameter,
                                   TorsionModulus modulus = TorsionModulus::plastic);

/// von Mises stress of a round section at preload F, while turned.
/// source  docs/physics.md equation 4.2
[[nodiscard]] Stress equivalent_stress(Force preload, LeverArm thread_lever, Length diameter,
                                       TorsionModulus modulus = TorsionModulus::plastic);

/// Preload at which that stress reaches `stress`: F = A R/q.
/// throws  DomainError unless stress and diameter are finite and above zero
/// source  docs/physics.md equation 4.3
[[nodiscard]] Force preload_at_stress(Stress stress, LeverArm thread_lever, Length diameter,
                                      TorsionModulus modulus = TorsionModulus::plastic);

/// The same for the threaded part at a share of the yield strength: the table value of VDI 2230 for 0.9, the
/// yield preload of a bolt without a waist for 1.
/// in      utilisation  above 0, at most 1
[[nodiscard]] Force assembly_preload(const Thread& thread, Stress yield, ThreadFriction friction,
                                     double utilisation = kAssemblyUtilisation);

/// von Mises stress in service: `bolt_load` pulls, and `residual` of the assembly torsion is left; elastic
/// modulus.
///
///   sqrt(sigma^2 + 3 (k_tau tau_M)^2)        [VDI 2230 R8, docs/physics.md equation 4.4]
///
/// in      residual  0 .. 1
[[nodiscard]] Stress service_stress(Force bolt_load, Force assembly_preload, LeverArm thread_lever,
                                    Length diameter, double residual = kResidualTorsion);

}  // namespace clampbook::joint
