// A book that was read: the events that hold, and the lines that do not.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/line.h>
#include <clampbook/record/timestamp.h>

#include <cstddef>
#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::record {

/// A place where the book is not as it was written.
struct Damage {
  std::int64_t seq = 0;  ///< the line's number
  bool torn = false;     ///< an append that was cut off, or is under way at the end; else somebody altered it
  std::string what;      ///< a sentence: "line 3 does not count: its seal does not hold"
};

struct Book {
  std::string id{};  ///< empty when the first line is damaged
  /// In the order of the file. Pointers to them hold while more are read or appended.
  std::deque<Event> events{};
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

/// The event on a line, or nullptr.
[[nodiscard]] const Event* event_on(const Book& book, std::int64_t line);

}  // namespace clampbook::record
