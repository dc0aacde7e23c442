// Numbers as people write them in a workshop file: decimal, with a point, nothing else.
// No locale, no octal, no hexadecimal, no nan: a figure that is read as another figure breaks a bolt.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace clampbook::text {

enum class NumberFault {
  none,
  missing,        ///< no digit at the front
  decimal_comma,  ///< 1,5
  bare_point,     ///< .5 or 5.
  second_point,   ///< 1.2.3
  leading_zero,   ///< 010, which some programs read as 8
  hexadecimal,    ///< 0x10
  out_of_range,   ///< does not fit a double, or is not zero but too small for one
  minus_sign,     ///< U+2212 or a dash in place of the ASCII minus
  trailing,       ///< (scan_number only) something follows the number
};

struct NumberScan {
  double value = 0;
  std::size_t length = 0;  ///< bytes that belong to the number, also when it is faulty
  NumberFault fault = NumberFault::none;
  [[nodiscard]] explicit operator bool() const { return fault == NumberFault::none; }
};

/// The number at the very front of `text`: [+-] digits [. digits] [e [+-] digits].
[[nodiscard]] NumberScan scan_number_prefix(std::string_view text);

/// The same, and the whole of `text` must be used.
[[nodiscard]] NumberScan scan_number(std::string_view text);

/// A sentence for the fault, e.g. "1,5 is written with a decimal comma".
[[nodiscard]] std::string describe(NumberFault fault, std::string_view written);
/// What to write instead, or empty.
[[nodiscard]] std::string suggest(NumberFault fault, std::string_view written);
/// "decimal-comma" or "bad-number".
[[nodiscard]] std::string_view slug(NumberFault fault);

/// Shortest decimal text that reads back to the same double; never an exponent between 1e-5 and 1e15.
[[nodiscard]] std::string shortest(double value);

}  // namespace clampbook::text
