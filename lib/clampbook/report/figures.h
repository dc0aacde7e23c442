// Computed figures in one unit system, with three digits: more than such a figure deserves.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/types.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/report/text_style.h>
#include <clampbook/review/estimate.h>

#include <string>

namespace clampbook::report {

/// Forces in kN, torques in N·m, lengths in mm; or in lbf, ft·lbf and inches.
class Figures {
 public:
  explicit Figures(const TextStyle& style) : imperial_(style.imperial()) {}

  [[nodiscard]] std::string force(joint::Force f) const;  ///< "28.8 kN"
  /// "28.8 kN, 90 % between 26 and 31.5 kN"
  [[nodiscard]] std::string force(const plan::Estimate<joint::Force>& e) const;
  [[nodiscard]] std::string force(const review::Interval& newtons) const;
  /// "28.8 kN (26..31.5 kN)"
  [[nodiscard]] std::string short_force(const review::Interval& newtons) const;
  [[nodiscard]] std::string torque(joint::Torque t) const;  ///< "45 N·m"
  /// "45 N·m (37.3..55.6)"
  [[nodiscard]] std::string torque(const plan::Estimate<joint::Torque>& e) const;
  [[nodiscard]] std::string length(joint::Length l) const;        ///< "0.183 mm"
  [[nodiscard]] std::string stiffness(joint::Stiffness s) const;  ///< "240 kN/mm"

 private:
  [[nodiscard]] std::string number(joint::Force f) const;
  [[nodiscard]] std::string number(joint::Torque t) const;
  [[nodiscard]] std::string range(joint::Force middle, joint::Force low, joint::Force high) const;
  [[nodiscard]] const char* force_unit() const { return imperial_ ? "lbf" : "kN"; }

  bool imperial_;
};

}  // namespace clampbook::report
