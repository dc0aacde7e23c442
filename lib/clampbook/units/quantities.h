// The quantities of the trade as types: coherent SI inside, so that a pound never meets a newton.
//
// Torque is per radian (N·m/rad): turning it through an angle gives an energy, and a lever is a length
// per angle, so that torque = force * lever compiles and force * length (an energy) does not pass for it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <boost/units/operators.hpp>
#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/area.hpp>
#include <boost/units/systems/si/dimensionless.hpp>
#include <boost/units/systems/si/energy.hpp>
#include <boost/units/systems/si/force.hpp>
#include <boost/units/systems/si/length.hpp>
#include <boost/units/systems/si/mass_density.hpp>
#include <boost/units/systems/si/plane_angle.hpp>
#include <boost/units/systems/si/pressure.hpp>
#include <boost/units/systems/si/temperature.hpp>
#include <boost/units/systems/si/time.hpp>
#include <boost/units/systems/si/torque.hpp>

#include <numbers>
#include <type_traits>

namespace clampbook::units {

namespace si = boost::units::si;
template <class Unit>
using QuantityOf = boost::units::quantity<Unit, double>;
template <class A, class B>
using Per = typename boost::units::divide_typeof_helper<A, B>::type;
template <class A, class B>
using Times = typename boost::units::multiply_typeof_helper<A, B>::type;

using Torque = QuantityOf<si::torque>;
using Force = QuantityOf<si::force>;
using Length = QuantityOf<si::length>;
using Area = QuantityOf<si::area>;
using Stress = QuantityOf<si::pressure>;
using Angle = QuantityOf<si::plane_angle>;
using Duration = QuantityOf<si::time>;
using Energy = QuantityOf<si::energy>;
using Ratio = QuantityOf<si::dimensionless>;
/// A change of temperature. A point on a scale is a TemperaturePoint, below.
using TemperatureChange = QuantityOf<si::temperature>;

using LeverArm = Per<Length, Angle>;             ///< torque = force * lever
using Stiffness = Per<Force, Length>;            ///< N/m
using Resilience = Per<Length, Force>;           ///< lengthening for each newton
using TorsionalResilience = Per<Angle, Torque>;  ///< twist for each newton metre
using TorqueRate = Per<Torque, Angle>;           ///< slope of a torque-angle curve
using AnglePerForce = Per<Angle, Force>;         ///< turn of the head for each newton of preload
using ThermalExpansion = Per<Ratio, TemperatureChange>;
/// Second moment of area.
using AreaMoment = Times<Area, Area>;

/// A point on the temperature scale, kept in kelvin: two points give a change, a change moves a point.
class TemperaturePoint {
 public:
  [[nodiscard]] static constexpr TemperaturePoint kelvin(double k) { return TemperaturePoint(k); }
  [[nodiscard]] constexpr double kelvin() const { return kelvin_; }
  [[nodiscard]] friend TemperatureChange operator-(TemperaturePoint a, TemperaturePoint b) {
    return (a.kelvin_ - b.kelvin_) * si::kelvin;
  }
  [[nodiscard]] friend TemperaturePoint operator+(TemperaturePoint a, TemperatureChange b) {
    return TemperaturePoint(a.kelvin_ + b.value());
  }
  /// Two points have a difference but no sum: add a TemperatureChange.
  friend void operator+(TemperaturePoint, TemperaturePoint) = delete;

 private:
  explicit constexpr TemperaturePoint(double k) : kelvin_(k) {}
  double kelvin_;
};

// The only way in and out for bare numbers: a typed unit. `value_in(length, units::newton_metre)` does
// not compile. Scales are exact by definition (docs/physics.md); degrees come from pi, never from
// Boost's twelve digits.
template <class Quantity>
struct Scale {
  static_assert(std::is_same_v<typename Quantity::value_type, double>,
                "quantities hold double: one of integers would cut off fractions without a warning");
  double si;  ///< how many coherent SI units one of these is
};

template <class Quantity>
[[nodiscard]] Quantity of(double value, Scale<Quantity> unit) {
  return Quantity::from_value(value * unit.si);
}
template <class Quantity>
[[nodiscard]] double value_in(const Quantity& quantity, Scale<Quantity> unit) {
  return quantity.value() / unit.si;
}
/// Chosen when the dimensions differ, to say so in one line.
template <class Quantity, class Other>
requires(!std::is_same_v<Quantity, Other>) double value_in(const Quantity& quantity, Scale<Other> unit) {
  static_assert(std::is_same_v<Quantity, Other>,
                "value_in: the unit is one of another dimension than the quantity");
  return static_cast<void>(quantity), unit.si;
}

// Products of exact definitions are rounded once, to double, at the end.
namespace exact {
inline constexpr long double kPoundForce = 0.45359237L * 9.80665L;
inline constexpr long double kInch = 0.0254L;
}  // namespace exact
inline constexpr double kPi = std::numbers::pi;
inline constexpr auto kPoundForce = static_cast<double>(exact::kPoundForce);  // N
inline constexpr auto kInch = static_cast<double>(exact::kInch);              // m

inline constexpr Scale<Torque> newton_metre{1};
inline constexpr Scale<Torque> foot_pound{static_cast<double>(12 * exact::kInch * exact::kPoundForce)};
inline constexpr Scale<Torque> inch_pound{static_cast<double>(exact::kInch * exact::kPoundForce)};
inline constexpr Scale<Force> newton{1};
inline constexpr Scale<Force> kilonewton{1e3};
inline constexpr Scale<Force> pound_force{static_cast<double>(exact::kPoundForce)};
inline constexpr Scale<Length> metre{1};
inline constexpr Scale<Length> millimetre{1e-3};
inline constexpr Scale<Length> inch{static_cast<double>(exact::kInch)};
inline constexpr Scale<Area> square_metre{1};
inline constexpr Scale<Area> square_millimetre{1e-6};
inline constexpr Scale<Area> square_inch{static_cast<double>(exact::kInch * exact::kInch)};
inline constexpr Scale<Stress> pascal{1};
inline constexpr Scale<Stress> megapascal{1e6};
inline constexpr Scale<Stress> gigapascal{1e9};
inline constexpr Scale<Stress> kilopound_per_square_inch{
    static_cast<double>(1000 * exact::kPoundForce / (exact::kInch * exact::kInch))};
inline constexpr Scale<Angle> radian{1};
inline constexpr Scale<Angle> degree{kPi / 180};
inline constexpr Scale<Duration> second{1};
inline constexpr Scale<Ratio> one{1};
inline constexpr Scale<Ratio> percent{0.01};
inline constexpr Scale<TemperatureChange> kelvin{1};
inline constexpr Scale<ThermalExpansion> per_kelvin{1};
inline constexpr Scale<LeverArm> metre_per_radian{1};
inline constexpr Scale<LeverArm> millimetre_per_radian{1e-3};
inline constexpr Scale<Stiffness> newton_per_metre{1};
inline constexpr Scale<Stiffness> newton_per_millimetre{1e3};
inline constexpr Scale<Resilience> metre_per_newton{1};
inline constexpr Scale<Resilience> millimetre_per_newton{1e-3};
inline constexpr Scale<TorsionalResilience> radian_per_newton_metre{1};
inline constexpr Scale<TorqueRate> newton_metre_per_degree{180 / kPi};
inline constexpr Scale<AnglePerForce> degree_per_newton{kPi / 180};
inline constexpr Scale<Energy> joule{1};
inline constexpr Scale<AreaMoment> metre_to_the_fourth{1};
inline constexpr Scale<Length> micrometre{1e-6};
inline constexpr Scale<Stress> pound_per_square_inch{kPoundForce / (kInch * kInch)};

/// The number in coherent SI units: for messages, checks of a range and matrices, not for formulas.
template <class Quantity>
[[nodiscard]] double si_number(const Quantity& quantity) {
  return quantity.value();
}

}  // namespace clampbook::units
