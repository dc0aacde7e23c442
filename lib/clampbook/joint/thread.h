// Screw threads with a 60 degree profile: ISO metric and Unified. One geometry serves both; they differ
// in the diameter that stands for the threaded part's strength.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/types.h>

namespace clampbook::joint {

enum class ThreadForm { metric, unified };
enum class Hand { right, left };

/// A single-start external thread and the internal thread it fits, at basic size.
///
///   H = sqrt(3)/2 P      d2 = d - 3/4 H      d1 = d - 5/4 H      d3 = d - 17/12 H
///   metric:   As = pi/4 ((d2 + d3)/2)^2              [ISO 724, ISO 898-1 clause 9]
///   unified:  As = pi/4 (d - 0.9743 P)^2             [ASME B1.1]
///
/// source  docs/physics.md equations 1.1 to 1.4
class Thread {
 public:
  /// in      diameter   nominal, 0.2 mm .. 1 m;  pitch  above zero, at most half the diameter
  /// throws  DomainError
  [[nodiscard]] static Thread metric(Length diameter, Length pitch, Hand hand = Hand::right);
  /// in      threads_per_inch   so that the pitch, 1 in over it, is at most half the diameter
  [[nodiscard]] static Thread unified(Length diameter, double threads_per_inch, Hand hand = Hand::right);

  [[nodiscard]] ThreadForm form() const { return form_; }
  [[nodiscard]] Hand hand() const { return hand_; }
  [[nodiscard]] bool left_hand() const { return hand_ == Hand::left; }
  [[nodiscard]] Length diameter() const { return diameter_; }                      ///< d
  [[nodiscard]] Length pitch() const { return pitch_; }                            ///< P
  [[nodiscard]] Length pitch_diameter() const { return pitch_diameter_; }          ///< d2
  [[nodiscard]] Length minor_diameter() const { return minor_diameter_; }          ///< d3, of the bolt
  [[nodiscard]] Length nut_minor_diameter() const { return nut_minor_diameter_; }  ///< D1 = d1
  [[nodiscard]] Area minor_area() const { return kPi / 4 * (minor_diameter_ * minor_diameter_); }
  [[nodiscard]] Area stress_area() const { return kPi / 4 * (stress_diameter_ * stress_diameter_); }
  /// d0, of the round bar with the stress area.
  [[nodiscard]] Length stress_diameter() const { return stress_diameter_; }
  /// tan(phi) = P / (pi d2), the slope of the helix.
  [[nodiscard]] double lead_tangent() const { return lead_tangent_; }
  /// Half of the profile's angle.
  [[nodiscard]] Angle flank_angle() const { return units::of(30, units::degree); }

 private:
  Thread(ThreadForm form, Hand hand, Length diameter, Length pitch);

  ThreadForm form_;
  Hand hand_;
  Length diameter_;
  Length pitch_;
  Length pitch_diameter_;
  Length minor_diameter_;
  Length nut_minor_diameter_;
  Length stress_diameter_;
  double lead_tangent_;
};

/// 1/cos(30 degrees): by this the flank's slope raises friction in the thread.
inline constexpr double kFlankFactor = 1.1547005383792515290;

}  // namespace clampbook::joint
