// What the terminal and the environment allow.
#pragma once

#include <cstddef>
#include <optional>

namespace clampbook::cli {

/// stdout is a terminal that shows colour, and neither NO_COLOR nor TERM=dumb speaks against it.
[[nodiscard]] bool terminal_wants_colour();
/// By LC_ALL, LC_CTYPE or LANG, whichever is set first. The program's own locale is never changed, because
/// numbers would follow it.
[[nodiscard]] bool locale_is_utf8();
/// Somebody sits there who can answer.
[[nodiscard]] bool input_is_a_terminal();
[[nodiscard]] bool output_is_a_terminal();
/// How wide the terminal is now; nothing when stdout is none.
[[nodiscard]] std::optional<std::size_t> terminal_columns();
/// A reader that goes away, or a file beyond its limit of size, is an error to report, not a signal to die
/// of.
void ignore_output_signals();
/// Gives each of stdin, stdout and stderr that was closed a descriptor that can be neither read nor written,
/// so that no file gets its number.
void keep_standard_descriptors();

}  // namespace clampbook::cli
