// Comma-separated values as RFC 4180 has them: fields in double quotes may hold commas, quotes (doubled) and
// line feeds. One row at a time, so that each can be kept before the next is read. A carriage return in front
// of a line feed is the end of a line as some editors write it, in quotes too: it is left out.
#pragma once

#include <cstddef>
#include <iosfwd>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::text {

class CsvReader {
 public:
  explicit CsvReader(std::istream& in) : in_(in) {}

  /// The next row that is not blank; nothing at the end. `fault()` tells a bad row from the end; the stream
  /// is bad() when it could not be read to its end.
  [[nodiscard]] std::optional<std::vector<std::string>> next();
  /// What is wrong with the row that next() did not give; empty at the end.
  [[nodiscard]] const std::string& fault() const { return fault_; }
  /// The line, from 1, on which the last row began.
  [[nodiscard]] std::size_t line() const { return row_line_; }

  static constexpr std::size_t kLongestRow = 1 << 16;

 private:
  [[nodiscard]] bool read_line(std::string& line);

  std::istream& in_;
  std::string buffer_ = std::string(kLongestRow + 2, '\0');  // a line too long, and what ends a text in C
  std::string fault_;
  std::size_t line_ = 0, row_line_ = 0;
};

/// A field as it stands in a row: in quotes where it holds a comma, a quote or a line feed. A text that a
/// spreadsheet would take for a formula (it begins with = + - @, a tab or the end of a line) gets an
/// apostrophe in front.
[[nodiscard]] std::string csv_field(std::string_view text);
/// A row and its line feed.
[[nodiscard]] std::string csv_row(std::span<const std::string> fields);
/// Takes off the apostrophe that csv_field put in front.
[[nodiscard]] std::string from_spreadsheet(std::string_view field);

}  // namespace clampbook::text
