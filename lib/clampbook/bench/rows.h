// Entries as rows of a table: what a paper sheet was typed into, or what a wrench exported. The one list of
// its columns; `plan --csv` prints the empty table.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/review/pass.h>
#include <clampbook/text/csv.h>

#include <array>
#include <cstddef>
#include <iosfwd>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::bench {

/// From `target` on they are for the eye: they say nothing about what was done.
enum class Column { bolt, value, also, stage, at, tool, key, note, step, target, window, text };
inline constexpr std::array<std::string_view, 12> kColumnNames{
    "bolt", "value", "also", "stage", "at", "tool", "key", "note", "step", "target", "window", "text"};
[[nodiscard]] constexpr std::string_view name(Column column) {
  return kColumnNames[static_cast<std::size_t>(column)];
}

class Row {
 public:
  [[nodiscard]] const std::string& operator[](Column column) const {
    return fields_[static_cast<std::size_t>(column)];
  }
  [[nodiscard]] std::string& operator[](Column column) { return fields_[static_cast<std::size_t>(column)]; }
  [[nodiscard]] const std::array<std::string, kColumnNames.size()>& fields() const { return fields_; }
  /// True for a row that was not filled in. Throws InputError (bad-csv) when something else was written on
  /// it, which must not get lost.
  [[nodiscard]] bool is_empty() const;

 private:
  std::array<std::string, kColumnNames.size()> fields_{};
};

class RowReader {
 public:
  /// Reads the first line. `in` must outlive this. Throws InputError: bad-csv, unreadable-file.
  RowReader(std::istream& in, const std::string& file);
  /// The next row; nothing at the end. Throws InputError: bad-csv, unreadable-file.
  [[nodiscard]] std::optional<Row> next();
  /// The number of the line that was read last, from 1.
  [[nodiscard]] std::size_t line() const { return csv_.line(); }

 private:
  std::istream& in_;
  text::CsvReader csv_;
  std::vector<Column> columns_{};
};

/// The row as an entry of the pass, without its pass and who did it. The kind of its gate says what the value
/// is. Throws InputError: bad-csv, nothing-due.
[[nodiscard]] EntryRequest request_of(const Row& row, const review::Pass& pass);

}  // namespace clampbook::bench
