// A book that was read: the events that hold, and the lines that do not.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/timestamp.h>
#include <clampbook/text/json.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::record {

/// One line that verifies, but for the first.
struct Event {
  std::int64_t seq = 0;   ///< the line's number from 0
  Timestamp written, at;  ///< the clock; when it was taken
  std::string kind;
  text::Json body;  ///< the whole line
  std::string seal;

  /// Members of the body; nothing when absent or of another type.
  [[nodiscard]] std::optional<std::string> text(std::string_view key) const;
  /// The same without a copy; empty when absent.
  [[nodiscard]] std::string_view view(std::string_view key) const;
  [[nodiscard]] std::optional<std::int64_t> integer(std::string_view key) const;
  [[nodiscard]] std::optional<double> number(std::string_view key) const;
};

/// A place where the book is not as it was written.
struct Damage {
  std::int64_t seq = 0;  ///< the line's number
  bool torn = false;     ///< an append that was cut off, or is under way at the end; else somebody altered it
  std::string what;      ///< a sentence: "line 3 does not count: its seal does not hold"
};

struct Book {
  std::string id{};  ///< empty when the first line is damaged
  std::vector<Event> events{};
  std::vector<Damage> damages{};
  std::int64_t lines = 0;  ///< the number of the next line; damaged ones count
  std::string seal{};      ///< of the last line that verifies
  bool open_end = false;   ///< no line feed ends the last line; it counts all the same if its seal holds
  /// What the next append has to mend: the bytes of the torn lines at the end, with the line feeds between
  /// them.
  std::size_t torn = 0;
};

inline constexpr std::string_view kFormat = "clampbook book 1";

/// Reads a book's bytes; `name` is for messages. Throws InputError: not-a-book, newer-format.
[[nodiscard]] Book parse_book(std::string_view bytes, const std::string& name);

}  // namespace clampbook::record
