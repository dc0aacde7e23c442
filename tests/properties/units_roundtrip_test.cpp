#include <clampbook/text/number.h>
#include <clampbook/units/format.h>

#include "tests/support/catch.h"

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <locale>
#include <random>
#include <string>
#include <vector>

using namespace clampbook::units;

namespace {

// Doubles of every size and shape: awkward ones, then random bits, then decimals that people type.
std::vector<double> many_values() {
  std::vector<double> values{0.0,
                             -0.0,
                             1.0,
                             0.1,
                             1.0 / 3,
                             5e-324,
                             std::numeric_limits<double>::max(),
                             std::numeric_limits<double>::min(),
                             1e15,
                             1e-5,
                             9007199254740993.0,
                             22.126864478317963};
  std::mt19937_64 random(20260504);
  while (values.size() < 400) {
    const double value = std::bit_cast<double>(static_cast<std::uint64_t>(random()));
    if (std::isfinite(value)) values.push_back(value);
  }
  std::uniform_int_distribution<int> thousandths(-999'999, 999'999);
  while (values.size() < 800) values.push_back(thousandths(random) / 1000.0);
  return values;
}

bool same_bits(double a, double b) {
  return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

}  // namespace

TEST_CASE("what is printed reads back bit for bit in every unit and spelling", "[units][property]") {
  const std::vector<double> values = many_values();
  for (const Unit& unit : all_units()) {
    for (const double value : values) {
      const MeasuredScan scan = scan_whole_measured(print({value, unit}));
      REQUIRE(scan);
      REQUIRE(scan.unit == &unit);
      REQUIRE(same_bits(scan.number, value));
    }
    for (const std::string_view word : spellings(unit)) {
      for (const double value : values) {
        const MeasuredScan scan =
            scan_whole_measured(clampbook::text::shortest(value) + " " + std::string(word));
        INFO(word);
        REQUIRE(scan);
        REQUIRE(scan.unit == &unit);
        REQUIRE(same_bits(scan.number, value));
        REQUIRE(same_bits(scan_whole_measured(print({scan.number, *scan.unit})).number, value));
      }
    }
  }
}

TEST_CASE("a conversion and back returns within two last places", "[units][property]") {
  const std::vector<double> values = many_values();
  for (const Unit& from : all_units()) {
    for (const Unit& to : all_units()) {
      // °C and °F do not scale: the offset takes digits from values near a zero.
      if (from.dimension != to.dimension || from.dimension == Dimension::temperature) continue;
      for (const double value : values) {
        const double there = convert(value, from, to);
        if (!std::isnormal(there)) continue;
        const double back = convert(there, to, from);
        const double place = std::fabs(std::nextafter(value, HUGE_VAL) - value);
        INFO(value << ' ' << from.spelling << ' ' << to.spelling);
        REQUIRE((back == value || std::fabs(back - value) <= 2 * place));
      }
    }
  }
}

namespace {

// The habits of half the world: 1.234,5
class CommaPunctuation : public std::numpunct<char> {
 protected:
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

class GlobalLocale {
 public:
  explicit GlobalLocale(const std::locale& locale) : before_(std::locale::global(locale)) {}
  ~GlobalLocale() { std::locale::global(before_); }
  GlobalLocale(const GlobalLocale&) = delete;
  GlobalLocale& operator=(const GlobalLocale&) = delete;

 private:
  std::locale before_;
};

}  // namespace

TEST_CASE("a decimal comma in the global locale changes nothing", "[units][property]") {
  const GlobalLocale comma(std::locale(std::locale::classic(), new CommaPunctuation));
  CHECK(scan_whole_measured("1234.5 N·m").number == 1234.5);
  CHECK(scan_whole_measured("1234,5 N·m").slug == "decimal-comma");
  CHECK(print({1234567.5, newton_metre_unit()}) == "1234567.5 N·m");
  CHECK(format({1234.5, newton_metre_unit()}) == "1234 N·m");
  CHECK(significant(12345.678, 6) == "12345.7");
  for (const double value : many_values()) {
    const MeasuredScan scan = scan_whole_measured(print({value, foot_pound_unit()}));
    REQUIRE(scan);
    REQUIRE(same_bits(scan.number, value));
  }
}
