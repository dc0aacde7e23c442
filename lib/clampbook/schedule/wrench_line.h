// One line as a torque wrench sends it: figures, or something to show and not to record.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/tool_list.h>

#include <string>
#include <string_view>
#include <vector>

namespace clampbook::schedule {

/// The most bytes of a line that a wrench sends.
inline constexpr std::size_t kLongestWrenchLine = 200;

struct WrenchLine {
  enum class Kind { reading, ignored, unreadable };
  Kind kind = Kind::unreadable;
  std::vector<units::Measured> values{};  ///< of a reading: one, or two of different dimensions
  std::string why{};                      ///< of an unreadable line
  std::string_view slug{"unreadable"};    ///< of an unreadable line: this, or what is wrong with its number
};

/// Reads a line (without its end) by the tool's `line:`, `decimal:`, `ignore:` and `unit:`. Without `line:`
/// the first number with its unit counts, then an optional second quantity, parted by spaces, a comma or a
/// semicolon; a word may stand in front, and nothing behind. `bare` is the unit of a first number without
/// one; null when there is none to assume. What is left over, a figure below zero, a second number without
/// a unit and a comma between two digits make the line unreadable: a figure that is read as another one is
/// worse than none. Bytes B0 and B7 are read as ° and ·, as older devices send them.
[[nodiscard]] WrenchLine read_wrench_line(std::string_view line, const TorqueWrench& tool,
                                          const units::Unit* bare);

}  // namespace clampbook::schedule
