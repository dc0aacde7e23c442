// Rows of a table are read one after the other up to the first bad one, and what csv_row writes reads back.
#include "tests/fuzz/fuzz.h"

#include <clampbook/text/csv.h>
#include <clampbook/text/utf8.h>

#include <sstream>

using namespace clampbook;

namespace {

// A row that holds nothing but spaces is passed over as blank: no writer of ours makes one.
bool reads_as_blank(const std::vector<std::string>& row) {
  return row.size() == 1 && row[0].find_first_not_of(" \t") == std::string::npos;
}

// The end of a line in a field is a line feed, however it was written.
std::string as_read(std::string text) {
  for (std::size_t at = 0; (at = text.find("\r\n", at)) != std::string::npos;) text.erase(at, 1);
  return text;
}

void check_row(const std::vector<std::string>& row) {
  fuzz::require(!row.empty(), "a row has a field");
  for (const std::string& field : row) fuzz::require(!text::first_invalid_utf8(field), "a field is UTF-8");
  if (reads_as_blank(row)) return;
  // Below a header, as every table has it: only a file's first bytes may be a byte order mark.
  const std::string written = "header\n" + text::csv_row(row);
  std::istringstream in(written);
  text::CsvReader reader(in);
  fuzz::require(reader.next().has_value(), "the header is read");
  std::optional<std::vector<std::string>> again = reader.next();
  fuzz::require(again.has_value(), "a written row is read: " + reader.fault(), written);
  for (std::string& field : *again) field = text::from_spreadsheet(field);
  for (std::size_t i = 0; i < row.size() && i < again->size(); ++i)
    if (as_read(row[i]) == (*again)[i]) (*again)[i] = row[i];
  fuzz::require(*again == row, "a written row reads back", written);
  fuzz::require(!reader.next() && reader.fault().empty(), "a row is one row", written);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::istringstream in{std::string(fuzz::as_text(data, size))};
  text::CsvReader reader(in);
  std::size_t line = 0;
  while (const auto row = reader.next()) {
    fuzz::require(reader.line() > line, "rows come downwards");
    fuzz::require(reader.fault().empty(), "a row that is given has no fault", reader.fault());
    line = reader.line();
    check_row(*row);
  }
  return 0;
}
