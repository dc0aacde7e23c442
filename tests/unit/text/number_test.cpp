#include <clampbook/text/number.h>

#include "tests/support/catch.h"

#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <limits>
#include <random>
#include <string>
#include <vector>

using namespace clampbook::text;

namespace {

struct Case {
  std::string text;
  NumberFault fault;
  std::string belongs;  // the bytes that the number takes
};

}  // namespace

TEST_CASE("plain decimals are numbers", "[text][number]") {
  const std::vector<std::pair<std::string, double>> cases{
      {"0", 0},        {"30", 30},      {"-5", -5},    {"+5", 5},
      {"0.17", 0.17},  {"22.50", 22.5}, {"1e3", 1000}, {"1E-3", 0.001},
      {"2.5e+2", 250}, {"-0.5", -0.5},  {"0e5", 0},    {"123456789012345678", 123456789012345678.0}};
  for (const auto& [text, value] : cases) {
    INFO(text);
    const NumberScan scan = scan_number(text);
    CHECK(scan);
    CHECK(scan.value == value);
    CHECK(scan.length == text.size());
  }
  CHECK(std::signbit(scan_number("-0").value));
}

TEST_CASE("every fault of a number is told apart", "[text][number]") {
  const std::vector<Case> cases{
      {"", NumberFault::missing, ""},
      {"abc", NumberFault::missing, ""},
      {"-", NumberFault::missing, ""},
      {"nan", NumberFault::missing, ""},
      {"inf", NumberFault::missing, ""},
      {"1,5", NumberFault::decimal_comma, "1,5"},
      {"1.234,5 N", NumberFault::decimal_comma, "1.234,5"},
      {"1,500.25 N", NumberFault::decimal_comma, "1,500.25"},
      {"1,5..2,5 N", NumberFault::decimal_comma, "1,5"},
      {".5", NumberFault::bare_point, ".5"},
      {"-.5", NumberFault::bare_point, "-.5"},
      {"5. N", NumberFault::bare_point, "5."},
      {"1.2.3", NumberFault::second_point, "1.2.3"},
      {"-1.2.3.4 N", NumberFault::second_point, "-1.2.3.4"},
      {"1.2.3..4 N", NumberFault::second_point, "1.2.3"},
      {"1.2.3,4 N", NumberFault::second_point, "1.2.3,4"},
      {"010", NumberFault::leading_zero, "010"},
      {"-00.5", NumberFault::leading_zero, "-00.5"},
      {"0x10", NumberFault::hexadecimal, "0x10"},
      {"0XfF z", NumberFault::hexadecimal, "0XfF"},
      {"1e400", NumberFault::out_of_range, "1e400"},
      {"-1e400", NumberFault::out_of_range, "-1e400"},
      {"1e-400", NumberFault::out_of_range, "1e-400"},
      {"\u22125", NumberFault::minus_sign, "\u22125"},
      {"\u20135 N", NumberFault::minus_sign, "\u20135"},
      {"\u221212.5 mm", NumberFault::minus_sign, "\u221212.5"},
      {"\u22121..5", NumberFault::minus_sign, "\u22121"},
  };
  for (const Case& c : cases) {
    INFO(c.text);
    const NumberScan scan = scan_number_prefix(c.text);
    CHECK(scan.fault == c.fault);
    CHECK(c.text.substr(0, scan.length) == c.belongs);
    CHECK_FALSE(describe(scan.fault, c.belongs).empty());
    CHECK(slug(scan.fault) == (c.fault == NumberFault::decimal_comma ? "decimal-comma" : "bad-number"));
  }
}

TEST_CASE("a number ends where something else begins", "[text][number]") {
  for (const auto& [text, length] : std::vector<std::pair<std::string, std::size_t>>{{"30 N", 2},
                                                                                     {"27..29", 2},
                                                                                     {"27.5..29", 4},
                                                                                     {"5e", 1},
                                                                                     {"5e+", 1},
                                                                                     {"5eV", 1},
                                                                                     {"25+20", 2},
                                                                                     {"1,", 1}}) {
    INFO(text);
    const NumberScan scan = scan_number_prefix(text);
    CHECK(scan);
    CHECK(scan.length == length);
    CHECK(scan_number(text).fault == NumberFault::trailing);
  }
}

TEST_CASE("a fault says what to write instead", "[text][number]") {
  CHECK(suggest(NumberFault::decimal_comma, "1,5") == "use a decimal point: 1.5");
  CHECK(suggest(NumberFault::decimal_comma, "1,500") ==
        "use a decimal point: 1.500; or no thousands mark: 1500");
  CHECK(suggest(NumberFault::decimal_comma, "1.234,5") == "use one decimal point and no thousands mark");
  CHECK(suggest(NumberFault::bare_point, ".5") == "write 0.5");
  CHECK(suggest(NumberFault::bare_point, "-.5") == "write -0.5");
  CHECK(suggest(NumberFault::bare_point, "5.") == "write 5");
  CHECK(suggest(NumberFault::bare_point, "5.x").empty());
  CHECK(suggest(NumberFault::bare_point, "5,,").empty());
  CHECK(suggest(NumberFault::leading_zero, "010") == "write 10");
  CHECK(suggest(NumberFault::leading_zero, "-00.5") == "write -0.5");
  CHECK(suggest(NumberFault::minus_sign, "\u22125") == "write -5");
  CHECK(suggest(NumberFault::decimal_comma, "1,500.25") == "use one decimal point and no thousands mark");
  CHECK(suggest(NumberFault::trailing, "5x").empty());
}

TEST_CASE("numbers are read to the nearest double", "[text][number]") {
  // strtod of the C library is the judge: correctly rounded since glibc 2.17.
  std::mt19937_64 random(11);
  for (int i = 0; i < 200'000; ++i) {
    std::string text = i % 3 == 0 ? "-" : "";
    text += std::to_string(random() % (i % 2 == 0 ? 1000U : 1'000'000'000U));
    const std::size_t decimals = random() % 14;
    if (decimals > 0) text += '.';
    for (std::size_t d = 0; d < decimals; ++d) text += static_cast<char>('0' + random() % 10);
    INFO(text);
    const NumberScan scan = scan_number(text);
    REQUIRE(scan);
    REQUIRE(scan.value == std::strtod(text.c_str(), nullptr));
  }
}

TEST_CASE("shortest digits read back and spare the exponent", "[text][number]") {
  CHECK(shortest(30) == "30");
  CHECK(shortest(0.1) == "0.1");
  CHECK(shortest(1e14) == "100000000000000");
  CHECK(shortest(1e15) == "1e+15");
  CHECK(shortest(0.00001) == "0.00001");
  CHECK(shortest(0.000009) == "9e-06");
  CHECK(shortest(0) == "0");
  std::mt19937_64 random(3);
  for (int i = 0; i < 20'000; ++i) {
    const double value = std::bit_cast<double>(static_cast<std::uint64_t>(random()));
    if (!std::isfinite(value)) continue;
    INFO(shortest(value));
    REQUIRE(scan_number(shortest(value)).value == value);
  }
}
