// Characters, as opposed to bytes. The only door to utfcpp.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace clampbook::text {

/// Byte offset of the first byte that is not valid UTF-8, or nothing when all of `bytes` is.
[[nodiscard]] std::optional<std::size_t> first_invalid_utf8(std::string_view bytes);

/// The same with a question mark for each byte that is not valid: text to show, whose places stand.
[[nodiscard]] std::string with_valid_bytes(std::string_view bytes);

/// The same with U+FFFD for each of them: text to keep, in a file that must be UTF-8.
[[nodiscard]] std::string as_utf8(std::string_view bytes);

/// Number of code points. An invalid sequence counts one for each byte.
[[nodiscard]] std::size_t count_characters(std::string_view text);

/// Columns that `text` takes on a terminal: 0 for combining marks, 2 for wide and emoji ranges.
[[nodiscard]] std::size_t display_width(std::string_view text);

/// The code point at the front of `text`, removed from it; U+FFFD for an invalid byte. `text` is not empty.
[[nodiscard]] char32_t take_character(std::string_view& text);

/// Appends `character` as UTF-8.
void append_character(std::string& out, char32_t character);

/// True for a character that moves the cursor, rings, or reorders what stands beside it
/// (C0 and C1 controls, line and paragraph separators, bidirectional marks): never print it raw.
[[nodiscard]] bool is_control(char32_t character);

/// `text` with every control character shown as U+FFFD, so that typed text cannot drive a terminal.
[[nodiscard]] std::string printable(std::string_view text);

/// The last resort of an ASCII terminal: "·" becomes "." and so on, anything else "?".
[[nodiscard]] std::string to_ascii(std::string_view text);

}  // namespace clampbook::text
