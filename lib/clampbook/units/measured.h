// A value with the unit in which somebody wrote it: what files and command lines hold. Physics takes
// typed quantities (quantities.h); `to<Torque>(written)` is the way over, and checks the dimension.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/units/quantities.h>
#include <clampbook/units/unit.h>

#include <cstddef>
#include <string>
#include <string_view>

namespace clampbook::units {

class Measured {
 public:
  Measured(double value, const Unit& unit) : value_(value), unit_(&unit) {}

  [[nodiscard]] double number() const { return value_; }  ///< in `unit()`
  [[nodiscard]] const Unit& unit() const { return *unit_; }
  [[nodiscard]] Dimension dimension() const { return unit_->dimension; }
  [[nodiscard]] double in(const Unit& unit) const { return convert(value_, *unit_, unit); }
  /// In coherent SI units.
  [[nodiscard]] double si() const;
  /// In the unit of machine output for this dimension.
  [[nodiscard]] double machine_value() const { return in(machine_unit(dimension())); }
  [[nodiscard]] Measured converted_to(const Unit& unit) const { return {in(unit), unit}; }

 private:
  double value_;
  const Unit* unit_;
};

/// The typed quantity; throws std::logic_error when the dimension is another. For the types below; any other
/// fails to link.
template <class Quantity>
[[nodiscard]] Quantity to(const Measured& written);
template <>
[[nodiscard]] Torque to<Torque>(const Measured& written);
template <>
[[nodiscard]] Force to<Force>(const Measured& written);
template <>
[[nodiscard]] Length to<Length>(const Measured& written);
template <>
[[nodiscard]] Stress to<Stress>(const Measured& written);
template <>
[[nodiscard]] Stiffness to<Stiffness>(const Measured& written);
template <>
[[nodiscard]] Angle to<Angle>(const Measured& written);
template <>
[[nodiscard]] Duration to<Duration>(const Measured& written);
template <>
[[nodiscard]] Ratio to<Ratio>(const Measured& written);
/// The point on the temperature scale; throws std::logic_error when `written` is no temperature.
template <>
[[nodiscard]] TemperaturePoint to<TemperaturePoint>(const Measured& written);

/// What stands at `from` in a text: a number, spaces, a unit word.
struct MeasuredScan {
  double number = 0;
  const Unit* unit = nullptr;  ///< null when no unit word follows the number
  std::size_t number_at = 0;   ///< offsets in the text
  std::size_t number_end = 0;
  std::size_t end = 0;  ///< past the unit, or past the number when there is none
  // When something is wrong:
  std::string_view slug{};  ///< "bad-number", "decimal-comma", "unknown-unit", and from the whole-text form
                            ///< "missing-unit", "wrong-shape"; empty when all is well
  std::string message{};
  std::string help{};
  std::size_t fault_at = 0;
  std::size_t fault_length = 0;
  [[nodiscard]] explicit operator bool() const { return slug.empty(); }
};

/// Reads the number and the longest unit word that follows it (spaces and no-break spaces between). What
/// comes after the unit is left for the caller: "30 N·m ± 4 %" stops before the "±". A word that starts
/// with a letter or a degree or percent sign but is no unit is `unknown-unit`.
[[nodiscard]] MeasuredScan scan_measured(std::string_view text, std::size_t from = 0);

/// The same for a text that holds nothing else but spaces at its ends: what follows is `wrong-shape`. A
/// missing unit is `missing-unit` unless `fallback` is given, which then is the unit.
[[nodiscard]] MeasuredScan scan_whole_measured(std::string_view text, const Unit* fallback = nullptr);

}  // namespace clampbook::units
