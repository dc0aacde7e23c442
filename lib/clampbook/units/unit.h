// The unit words that people write, each with its exact factor and its one canonical spelling.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::units {

enum class Dimension { torque, force, length, stress, stiffness, angle, time, temperature, ratio };

/// "torque", "force", ... as printed in messages.
[[nodiscard]] std::string_view name(Dimension dimension);
/// "an angle", "a torque", "a length or ratio" ... with its article.
[[nodiscard]] std::string with_article(Dimension dimension);
/// The key suffix of machine output, with its underscore: "_Nm", "_deg", "_mm", "_N", "_MPa",
/// "_N_per_mm", "_s"; empty for ratios; "_degC" for temperatures.
[[nodiscard]] std::string_view machine_suffix(Dimension dimension);

struct Unit {
  std::string_view spelling;  ///< canonical, as printed
  std::string_view ascii;     ///< the same for an ASCII terminal
  Dimension dimension;
  long double factor;      ///< SI units in one of these, exact by definition
  long double offset = 0;  ///< only for °C and °F: si = (value + offset) * factor
  bool imperial = false;
  std::span<const std::string_view> also{};  ///< every further accepted spelling; may repeat the first two
};

/// The whole table, in the order of the documentation.
[[nodiscard]] std::span<const Unit> all_units();
/// Every accepted spelling of `unit`, the canonical one first.
[[nodiscard]] std::vector<std::string_view> spellings(const Unit& unit);
/// By any accepted spelling, case-sensitive; nullptr when there is none. The dot may be U+00B7 or U+22C5,
/// a space may be a no-break space.
[[nodiscard]] const Unit* find_unit(std::string_view word);
/// The unit in which machine output gives this dimension: N·m, N, mm, MPa, N/mm, °, s, °C; ratio is 1.
[[nodiscard]] const Unit& machine_unit(Dimension dimension);

/// Known units by name, for code: never null.
[[nodiscard]] const Unit& newton_metre_unit();
[[nodiscard]] const Unit& foot_pound_unit();
[[nodiscard]] const Unit& inch_pound_unit();
[[nodiscard]] const Unit& kilogram_metre_unit();
[[nodiscard]] const Unit& degree_unit();
[[nodiscard]] const Unit& millimetre_unit();
[[nodiscard]] const Unit& inch_unit();
[[nodiscard]] const Unit& percent_unit();
/// The bare ratio, with an empty spelling.
[[nodiscard]] const Unit& one_unit();

/// `value` of `from` expressed in `to`; correctly rounded but for at most one unit in the last place.
/// Throws std::logic_error when the dimensions differ.
[[nodiscard]] double convert(double value, const Unit& from, const Unit& to);

/// A sentence that helps with an unknown word: the hint for `nm`, else the close matches, else empty.
[[nodiscard]] std::string unit_help(std::string_view word);

}  // namespace clampbook::units
