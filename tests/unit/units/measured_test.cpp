#include <clampbook/units/measured.h>

#include "tests/support/catch.h"

#include <string>
#include <vector>

using namespace clampbook::units;

namespace {

struct Good {
  std::string text;
  double number;
  std::string unit;  // "" when none follows
  std::string rest;  // what is left for the caller
};

}  // namespace

TEST_CASE("a quantity stops where its unit stops", "[units]") {
  const std::vector<Good> cases{
      {"30 N·m", 30, "N·m", ""},
      {"30N·m", 30, "N·m", ""},
      {"  30   N·m", 30, "N·m", ""},
      {"30\u00A0N·m", 30, "N·m", ""},
      {"30\u202FN\u00A0m", 30, "N·m", ""},
      {"30 N\u22C5m", 30, "N·m", ""},
      {"30 N m", 30, "N·m", ""},
      {"22.1 ft lb", 22.1, "ft·lbf", ""},
      {"5 ft lb", 5, "ft·lbf", ""},
      {"5 ft", 5, "ft", ""},
      {"5 N", 5, "N", ""},
      {"28 N·m ± 4 %", 28, "N·m", " ± 4 %"},
      {"28 N m ± 4 %", 28, "N·m", " ± 4 %"},
      {"28 N·m±4 %", 28, "N·m", "±4 %"},
      {"4 %", 4, "%", ""},
      {"4%)", 4, "%", ")"},
      {"8 N·m +2 -0", 8, "N·m", " +2 -0"},
      {"8 N·m+2 -0", 8, "N·m", "+2 -0"},
      {"27..29 N·m", 27, "", "..29 N·m"},
      {"27–29 N·m", 27, "", "–29 N·m"},
      {"27-29 N·m", 27, "", "-29 N·m"},
      {"27 N·m..29 N·m", 27, "N·m", "..29 N·m"},
      {"27 N·m-29 N·m", 27, "N·m", "-29 N·m"},
      {"27 N·m–29 N·m", 27, "N·m", "–29 N·m"},
      {"17 ft·lbf / 2.35 kgf·m)", 17, "ft·lbf", " / 2.35 kgf·m)"},
      {"17 ft·lbf/2.35 kgf·m)", 17, "ft·lbf", "/2.35 kgf·m)"},
      {"17 ft·lbf)", 17, "ft·lbf", ")"},
      {"23 N·m (17 ft·lbf)", 23, "N·m", " (17 ft·lbf)"},
      {"60°", 60, "°", ""},
      {"60°, then", 60, "°", ", then"},
      {"60 °C", 60, "°C", ""},
      {"60°C", 60, "°C", ""},
      {"640 N/mm²", 640, "MPa", ""},
      {"640 N/mm", 640, "N/mm", ""},
      {"640 N mm", 640, "N", " mm"},
      {"15deg", 15, "°", ""},
      {"25+20+15deg", 25, "", "+20+15deg"},
      {"-5 °F", -5, "°F", ""},
      {"+5 µm", 5, "µm", ""},
      {"5 \u03BCm", 5, "µm", ""},
      {"1e3 N", 1000, "N", ""},
      {"10 min", 10, "min", ""},
      {"5 m in", 5, "m", " in"},
      {"30", 30, "", ""},
      {"30 ", 30, "", " "},
      {"30 × 2", 30, "", " × 2"},
  };
  for (const Good& c : cases) {
    INFO(c.text);
    const MeasuredScan scan = scan_measured(c.text);
    CHECK(scan);
    CHECK(scan.message.empty());
    CHECK(scan.number == c.number);
    CHECK((scan.unit == nullptr ? "" : std::string(scan.unit->spelling)) == c.unit);
    CHECK(c.text.substr(scan.end) == c.rest);
  }
}

TEST_CASE("a scan starts where it is told to", "[units]") {
  const std::string text = "27..29 N·m";
  const MeasuredScan scan = scan_measured(text, 4);
  REQUIRE(scan);
  CHECK(scan.number == 29);
  CHECK(scan.number_at == 4);
  CHECK(scan.number_end == 6);
  CHECK(scan.unit == &newton_metre_unit());
  CHECK(scan.end == text.size());
}

namespace {

struct Bad {
  std::string text;
  std::string slug;
  std::string marked;
  std::string message;
  std::string help;
};

void check(const Bad& c, const MeasuredScan& scan) {
  INFO(c.text);
  CHECK_FALSE(scan);
  CHECK(scan.slug == c.slug);
  REQUIRE(scan.fault_at <= c.text.size());
  CHECK(c.text.substr(scan.fault_at, scan.fault_length) == c.marked);
  CHECK(scan.message == c.message);
  CHECK(scan.help == c.help);
}

}  // namespace

TEST_CASE("a word that is no unit is refused with what would be right", "[units]") {
  const std::vector<Bad> cases{
      {"30Nmx", "unknown-unit", "Nmx", "unknown unit 'Nmx'", "did you mean N·m"},
      {"30 nm", "unknown-unit", "nm", "unknown unit 'nm'",
       "newton metres have a capital N: write N·m; nm would be nanometres"},
      {"30 Nm.", "unknown-unit", "Nm.", "unknown unit 'Nm.'", "write N·m without the full stop"},
      {"22 lbft. then", "unknown-unit", "lbft.", "unknown unit 'lbft.'",
       "write ft·lbf without the full stop"},
      {"5 foot-pounds", "unknown-unit", "foot-pounds", "unknown unit 'foot-pounds'",
       "write ft·lbf, or ft-lb"},
      {"5 newton metres", "unknown-unit", "newton metres", "unknown unit 'newton metres'",
       "write N·m, or Nm"},
      {"5 Newton-meters", "unknown-unit", "Newton-meters", "unknown unit 'Newton-meters'",
       "write N·m, or Nm"},
      {"5 lb", "unknown-unit", "lb", "unknown unit 'lb'",
       "a pound is a mass: write lbf for a force, ft·lbf or in·lbf for a torque"},
      {"5 kg", "unknown-unit", "kg", "unknown unit 'kg'",
       "a kilogram is a mass: write kgf for a force, kgf·m or kgf·cm for a torque"},
      {"30 º", "unknown-unit", "º", "unknown unit 'º'", "write °, or deg"},
      {"30 mm2", "unknown-unit", "mm2", "unknown unit 'mm2'", "did you mean mm"},
      {"30 N·m·m", "unknown-unit", "N·m·m", "unknown unit 'N·m·m'", ""},
      {"30 °°", "unknown-unit", "°°", "unknown unit '°°'", ""},
      {"30 Ωm", "unknown-unit", "Ωm", "unknown unit 'Ωm'", ""},
  };
  for (const Bad& c : cases) check(c, scan_measured(c.text));
}

TEST_CASE("a number that could be read as another is refused", "[units]") {
  const std::vector<Bad> cases{
      {"1,5 N·m", "decimal-comma", "1,5", "'1,5' is written with a decimal comma",
       "use a decimal point: 1.5"},
      {"1,500 lbf", "decimal-comma", "1,500", "'1,500' is written with a decimal comma",
       "use a decimal point: 1.500; or no thousands mark: 1500"},
      {"nan N", "bad-number", "nan", "'nan' is not a number", ""},
      {"abc", "bad-number", "abc", "'abc' is not a number", ""},
      {"", "bad-number", "", "a number is missing", ""},
      {"010 N", "bad-number", "010", "'010' begins with a zero that does not belong there", "write 10"},
      {".5 N", "bad-number", ".5", "'.5' has a point without digits on both sides", "write 0.5"},
      {"1.2.3 N·m", "bad-number", "1.2.3", "'1.2.3' has more than one decimal point",
       "write one decimal point: 1.23 or 12.3"},
      {"1.2.3.4 N·m", "bad-number", "1.2.3.4", "'1.2.3.4' has more than one decimal point",
       "write one decimal point, for example 12.5"},
      {"5. N", "bad-number", "5.", "'5.' has a point without digits on both sides", "write 5"},
      {"0x10 N", "bad-number", "0x10", "'0x10' is hexadecimal; numbers are decimal here", ""},
      {"1e999 N", "bad-number", "1e999", "'1e999' is too large or too small to be kept", ""},
      {"–5 °C", "bad-number", "–5", "'–5' begins with a dash that is not a minus sign", "write -5"},
  };
  for (const Bad& c : cases) check(c, scan_measured(c.text));
}

TEST_CASE("a whole text holds one quantity and nothing else", "[units]") {
  const std::vector<Bad> cases{
      {"85", "missing-unit", "85", "'85' has no unit", "put the unit after the number, for example: 85 N·m"},
      {"30 N·m ± 4 %", "wrong-shape", "± 4 %", "one number with its unit is wanted here, and more follows",
       ""},
      {"1 500 N", "wrong-shape", "500 N", "one number with its unit is wanted here, and more follows",
       "write the number without spaces inside"},
      {"1 1/2 in", "wrong-shape", "1/2 in", "one number with its unit is wanted here, and more follows",
       "write the fraction as a decimal: 1.5 in"},
      {"5/8in", "wrong-shape", "/8in", "one number with its unit is wanted here, and more follows",
       "write the fraction as a decimal: 0.625in"},
      {"1/0 in", "wrong-shape", "/0 in", "one number with its unit is wanted here, and more follows", ""},
      {"1 2/ in", "wrong-shape", "2/ in", "one number with its unit is wanted here, and more follows",
       "write the number without spaces inside"},
      {"30 N mm", "wrong-shape", "mm", "one number with its unit is wanted here, and more follows", ""},
  };
  for (const Bad& c : cases) check(c, scan_whole_measured(c.text));
  CHECK(scan_whole_measured(" 30 N·m ").unit == &newton_metre_unit());
  CHECK(scan_whole_measured("30", &foot_pound_unit()).unit == &foot_pound_unit());
  CHECK(scan_whole_measured("30 N·m", &foot_pound_unit()).unit == &newton_metre_unit());
}

TEST_CASE("no bytes make the scan lose its place", "[units]") {
  // Every pair of bytes behind a number: a place inside the text, and progress past the number.
  for (int a = 0; a < 256; ++a) {
    for (int b = 0; b < 256; ++b) {
      const std::string text{'7', static_cast<char>(a), static_cast<char>(b)};
      const MeasuredScan scan = scan_measured(text);
      REQUIRE(scan.end <= text.size());
      REQUIRE(scan.end >= 1);
      REQUIRE(scan.fault_at + scan.fault_length <= text.size());
      REQUIRE((scan || !scan.message.empty()));
    }
  }
}
