// Threads that strip: how long the engagement must be for the bolt to break first.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/thread.h>

namespace clampbook::joint {

/// The mate: a nut or a tapped hole.
struct InternalThread {
  Stress tensile;      ///< Rm,min
  double shear_ratio;  ///< tau_B/Rm, above 0, at most 2
};

struct ShearAreas {
  Area internal;  ///< the mate's thread, sheared at the bolt's outer diameter
  Area external;  ///< the bolt's thread, sheared at the mate's minor diameter
};

/// Areas over an effective engagement m.
///
///   internal: pi d  (m/P) [P/2 + (d - D2) tan 30 deg]
///   external: pi D1 (m/P) [P/2 + (d2 - D1) tan 30 deg]
///
/// source  docs/physics.md equation 8.1
[[nodiscard]] ShearAreas shear_areas(const Thread& thread, Length effective_engagement);

/// Engagement that carries: what is measured less two pitches, for the runout and the chamfers (VDI 2230 R9,
/// from memory); not below zero.
[[nodiscard]] Length effective_engagement(const Thread& thread, Length engagement);

struct Stripping {
  Force internal;  ///< load that strips the mate's thread
  Force external;  ///< load that strips the bolt's
  Force breaking;  ///< load that breaks the strongest bolt of the class, As Rm,max
  double safety;   ///< the smaller stripping load over the breaking load; strips first below 1
  Length needed;   ///< engagement, as measured, at which the bolt breaks first
};

/// in      bolt_tensile      Rm,min of the bolt;  the breaking load counts 1.2 of it
///         bolt_shear_ratio  tau_B/Rm of the bolt's steel
///         engagement        as measured, above zero
/// valid   a tapped hole or a nut that is not thin (no widening of the nut)
/// source  docs/physics.md equations 8.1 and 8.2
[[nodiscard]] Stripping check_stripping(const Thread& thread, Stress bolt_tensile, const InternalThread& mate,
                                        Length engagement, double bolt_shear_ratio = 0.6);

}  // namespace clampbook::joint
