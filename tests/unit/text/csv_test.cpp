#include <clampbook/text/csv.h>

#include "tests/support/catch.h"

#include <sstream>
#include <string>
#include <vector>

namespace {

using clampbook::text::csv_field;
using clampbook::text::csv_row;
using clampbook::text::CsvReader;
using clampbook::text::from_spreadsheet;

TEST_CASE("fields are quoted only where they must be", "[text][csv]") {
  CHECK(csv_field("plain text 12 N·m") == "plain text 12 N·m");
  CHECK(csv_field("a,b") == "\"a,b\"");
  CHECK(csv_field("say \"no\"") == "\"say \"\"no\"\"\"");
  CHECK(csv_field("two\nlines") == "\"two\nlines\"");
  CHECK(csv_field("").empty());
  CHECK(csv_row(std::vector<std::string>{"a", "", "b,c"}) == "a,,\"b,c\"\n");
}

TEST_CASE("a text that a spreadsheet would take for a formula gets an apostrophe", "[text][csv]") {
  for (const std::string text : {"=1+1", "+1", "-1", "@x", "\tx", "'=1", "''-1"})
    CHECK(csv_field(text) == "'" + text);
  CHECK(csv_field("=a,b") == "\"'=a,b\"");
  CHECK(csv_field("\rx") == "\"'\rx\"");
  for (const std::string text : {"1-1", "a=b", "'quoted'", "'", "''"}) CHECK(csv_field(text) == text);
}

TEST_CASE("every text reads back as it was", "[text][csv]") {
  const std::vector<std::string> texts{"=1",  "'=1", "''+", "-",   "'-,\"", "@\n\"x\"", "'",   "''",  "",
                                       "a'b", "1",   "\tx", "'a'", "+,",    "==",       "\nx", "'\nx"};
  std::istringstream in(csv_row(texts));
  CsvReader reader(in);
  const auto row = reader.next();
  REQUIRE(row);
  REQUIRE(row->size() == texts.size());
  for (std::size_t i = 0; i < texts.size(); ++i) CHECK(from_spreadsheet((*row)[i]) == texts[i]);
  CHECK_FALSE(reader.next());

  // All but how its line ended, which a line feed is left of.
  std::istringstream ended(csv_row(std::vector<std::string>{"\r\nx"}));
  CsvReader second(ended);
  CHECK(from_spreadsheet(second.next().value().at(0)) == "\nx");
}

TEST_CASE("an apostrophe that stands for itself is kept", "[text][csv]") {
  CHECK(from_spreadsheet("'tis tight") == "'tis tight");
  CHECK(from_spreadsheet("'") == "'");
  CHECK(from_spreadsheet("=1") == "=1");
}

}  // namespace
