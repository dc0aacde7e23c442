#include <clampbook/text/csv.h>

#include "tests/support/catch.h"

#include <sstream>
#include <stdexcept>
#include <streambuf>
#include <string>
#include <utility>
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

TEST_CASE("a row that cannot be split says why", "[text][csv]") {
  const std::vector<std::pair<std::string, std::string>> bad{
      {"a,\"b\"c\n", "something follows a closing quote"},
      {"a,\xFF\n", "the row is not UTF-8 text"},
      {std::string(CsvReader::kLongestRow + 1, 'x') + "\n", "the row is too long"}};
  for (const auto& [row, why] : bad) {
    INFO(why);
    std::istringstream in(row + "1,2\n");
    CsvReader reader(in);
    CHECK_FALSE(reader.next());
    CHECK(reader.fault() == why);
    CHECK(reader.line() == 1);
  }
  std::istringstream open("a,\"b\n\n");
  CsvReader reader(open);
  CHECK_FALSE(reader.next());
  CHECK(reader.fault() == "a quote is opened and never closed");
}

TEST_CASE("an apostrophe that stands for itself is kept", "[text][csv]") {
  CHECK(from_spreadsheet("'tis tight") == "'tis tight");
  CHECK(from_spreadsheet("'") == "'");
  CHECK(from_spreadsheet("=1") == "=1");
}

// Gives `text` over and over, sign by sign; fails after so many signs.
class Endless : public std::streambuf {
 public:
  Endless(std::string text, std::size_t fails_after) : text_(std::move(text)), fails_after_(fails_after) {}
  [[nodiscard]] std::size_t given() const { return given_; }

 protected:
  int_type underflow() override {
    if (given_ == fails_after_) throw std::runtime_error("the disk is gone");
    char* const sign = text_.data() + given_++ % text_.size();
    setg(sign, sign, sign + 1);
    return traits_type::to_int_type(*sign);
  }

 private:
  std::string text_;
  std::size_t fails_after_, given_ = 0;
};

TEST_CASE("a line without an end is refused before memory is full of it", "[text][csv]") {
  Endless signs("x", std::size_t{1} << 24);
  std::istream in(&signs);
  CsvReader reader(in);
  CHECK_FALSE(reader.next());
  CHECK(reader.fault() == "the row is too long");
  CHECK(signs.given() < 2 * CsvReader::kLongestRow);
}

TEST_CASE("a file that fails in the middle does not look like one that ends there", "[text][csv]") {
  Endless signs("xxx\n", 10);
  std::istream in(&signs);
  CsvReader reader(in);
  CHECK(reader.next() == std::vector<std::string>{"xxx"});
  CHECK(reader.next() == std::vector<std::string>{"xxx"});
  CHECK_FALSE(reader.next());
  CHECK(in.bad());
  CHECK(reader.fault() == "cannot be read to its end");
}

TEST_CASE("lines are read whole up to the longest", "[text][csv]") {
  const std::string longest(CsvReader::kLongestRow, 'x');
  std::istringstream in(longest + "\n\n" + longest + "\nlast");
  CsvReader reader(in);
  CHECK(reader.next() == std::vector<std::string>{longest});
  CHECK(reader.next() == std::vector<std::string>{longest});
  CHECK(reader.line() == 3);
  CHECK(reader.next() == std::vector<std::string>{"last"});
  CHECK_FALSE(reader.next());
  CHECK(reader.fault().empty());
  std::istringstream more(longest + "x\n");
  CsvReader other(more);
  CHECK_FALSE(other.next());
  CHECK(other.fault() == "the row is too long");
}

}  // namespace
