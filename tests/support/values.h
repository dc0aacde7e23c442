// Short names for typed numbers, and the values that no formula may let in.
#pragma once

#include <clampbook/joint/types.h>
#include <clampbook/text/error.h>

#include <array>
#include <limits>

namespace joint_test {

namespace units = clampbook::units;
using clampbook::DomainError;

inline units::Length mm(double x) {
  return units::of(x, units::millimetre);
}
inline units::Length in(double x) {
  return units::of(x, units::inch);
}
inline units::Stress gpa(double x) {
  return units::of(x, units::gigapascal);
}
inline units::Stress mpa(double x) {
  return units::of(x, units::megapascal);
}
inline units::Torque nm(double x) {
  return units::of(x, units::newton_metre);
}
inline units::Force kn(double x) {
  return units::of(x, units::kilonewton);
}
inline units::Angle deg(double x) {
  return units::of(x, units::degree);
}
inline units::Resilience mm_per_n(double x) {
  return units::of(x, units::millimetre_per_newton);
}
inline units::LeverArm lever_mm(double x) {
  return units::of(x, units::millimetre_per_radian);
}

inline double in_mm(units::Length l) {
  return units::value_in(l, units::millimetre);
}
inline double in_kn(units::Force f) {
  return units::value_in(f, units::kilonewton);
}
inline double newtons(units::Force f) {
  return units::value_in(f, units::newton);
}
inline double degrees(units::Angle a) {
  return units::value_in(a, units::degree);
}
inline double in_nm(units::Torque t) {
  return units::value_in(t, units::newton_metre);
}
inline double in_mpa(units::Stress s) {
  return units::value_in(s, units::megapascal);
}
inline double in_mm(units::LeverArm l) {
  return units::value_in(l, units::millimetre_per_radian);
}
inline double in_mm_per_n(units::Resilience r) {
  return units::value_in(r, units::millimetre_per_newton);
}

inline constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
inline constexpr double kInf = std::numeric_limits<double>::infinity();
/// Neither a length, a force nor a modulus.
inline constexpr std::array<double, 6> kNeverPositive = {kNan, kInf, -kInf, -1, 0, 1e300};
/// Not even where zero is allowed.
inline constexpr std::array<double, 5> kNeverAllowed = {kNan, kInf, -kInf, -1, 1e300};

}  // namespace joint_test
