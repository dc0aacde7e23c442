// Quantities for people: three or four digits that matter, never a false precision.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/units/measured.h>

#include <string>

namespace clampbook::units {

enum class System { metric, imperial };

/// Which unit system most of some torques are written in.
class TorqueTally {
 public:
  /// Counts a torque; passes over anything else.
  void add(const Measured& figure);
  /// Nothing without a torque, or when both have as many.
  [[nodiscard]] std::optional<System> most() const;

 private:
  std::size_t imperial_ = 0, metric_ = 0;
};

/// A number with the digits that a person can use: as typed when that needs at most four significant
/// digits ("30", "22.5", "0.17"), else rounded to three (four from 1000 on). No exponent below 1e9.
[[nodiscard]] std::string format_number(double value);

/// Three significant digits, as no computed figure deserves more: "8820", "39.2", "0.164".
[[nodiscard]] std::string three_digits(double value);

/// `digits` significant digits, whole numbers in full, no zeros at the end: significant(22.12687, 4) is
/// "22.13". An exponent only below 1e-5 and from 1e15 on.
[[nodiscard]] std::string significant(double value, int digits);
void append_significant(std::string& out, double value, int digits);

/// `number` with the unit behind it, parted by a space but before "°"; in ASCII "30 Nm", "60 deg".
[[nodiscard]] std::string with_unit(std::string number, const Unit& unit, bool ascii = false);

/// "30 N·m", "60°", "4 %", "10 min".
[[nodiscard]] std::string format(const Measured& quantity);
/// The same, in `unit`.
[[nodiscard]] std::string format(const Measured& quantity, const Unit& unit);

/// The unit that `system` uses beside `written`: N·m <-> ft·lbf (in·lbf below 5 ft·lbf), mm <-> in, N <->
/// lbf, kN <-> kip, MPa <-> ksi ... A unit that already belongs to the system stays; so do angles, times,
/// ratios.
[[nodiscard]] const Unit& unit_in(System system, const Measured& written);

/// The unit that people would ask for beside `written`: that of the other system; for angles ° <-> rad, for
/// times s <-> min, for a percentage the bare ratio.
[[nodiscard]] const Unit& counterpart(const Measured& written);

/// "28.8..31.2 N·m": one unit after both ends; equal digits only when the ends are equal.
[[nodiscard]] std::string format_range(const Measured& low, const Measured& high, const Unit& unit);

/// Exactly `value unit` with the shortest digits that read back: parse(print(q)) == q.
[[nodiscard]] std::string print(const Measured& quantity);

}  // namespace clampbook::units
