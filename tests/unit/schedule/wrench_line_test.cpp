#include <clampbook/schedule/wrench_line.h>
#include <clampbook/units/format.h>

#include "tests/support/catch.h"

#include <chrono>
#include <string>
#include <utility>
#include <vector>

using namespace clampbook;
using schedule::DecimalSign;
using schedule::read_wrench_line;
using schedule::TorqueWrench;
using schedule::WrenchLine;

namespace {

TorqueWrench tool(std::string line = {}, DecimalSign decimal = DecimalSign::point, std::string ignore = {},
                  const units::Unit* unit = nullptr) {
  const units::Measured one(1, units::newton_metre_unit());
  TorqueWrench out{"w", {}, {one, one}, units::Measured(4, units::percent_unit())};
  out.line = std::move(line);
  out.decimal = decimal;
  out.ignore = std::move(ignore);
  out.unit = unit;
  return out;
}

// "26.3 N·m; 58°", "ignored", or "unreadable"
std::string read(std::string_view line, const TorqueWrench& wrench = tool(),
                 const units::Unit* bare = nullptr) {
  const WrenchLine got = read_wrench_line(line, wrench, bare);
  if (got.kind == WrenchLine::Kind::ignored) return "ignored";
  if (got.kind == WrenchLine::Kind::unreadable) {
    CHECK_FALSE(got.why.empty());
    return "unreadable";
  }
  std::string out;
  for (const units::Measured& value : got.values) out += (out.empty() ? "" : "; ") + units::print(value);
  return out;
}

}  // namespace

TEST_CASE("wrench line a figure with its unit as devices send it") {
  CHECK(read("26.3 N·m") == "26.3 N·m");
  CHECK(read("  +026.30 Nm  ") == "26.3 N·m");
  CHECK(read("Peak: 26.3 N.m") == "26.3 N·m");
  CHECK(read("TORQUE=21 ft-lb") == "21 ft·lbf");
  CHECK(read("26.3 N\xB7m") == "26.3 N·m");  // Latin-1
  CHECK(read("58\xB0") == "58°");
  CHECK(read("0 N·m") == "0 N·m");
}

TEST_CASE("wrench line a second quantity of another kind") {
  CHECK(read("26.3 N·m, 58°") == "26.3 N·m; 58°");
  CHECK(read("26.3 N·m;58 deg") == "26.3 N·m; 58°");
  CHECK(read("26.3 N·m\t58 deg") == "26.3 N·m; 58°");
  CHECK(read("58° 70 N·m") == "58°; 70 N·m");
}

TEST_CASE("wrench line a bare number takes the unit that is to be assumed") {
  CHECK(read("26.3") == "unreadable");
  CHECK(read("26.3", tool(), &units::foot_pound_unit()) == "26.3 ft·lbf");
  CHECK(read("26.3, 58°", tool(), &units::newton_metre_unit()) == "26.3 N·m; 58°");
  CHECK(read("26.3, 58", tool(), &units::newton_metre_unit()) == "unreadable");
}

TEST_CASE("wrench line what could be read as another figure is not read") {
  const units::Unit* bare = &units::newton_metre_unit();
  for (const char* line : {"26.3 N·m*5A", "26.3 N·m 5A",    "26.3 N·m 58° 3",  "P4=26.3 N·m @58",
                           "26,3 N·m",    "26,3",           "26.3 nm",         "-26.3 N·m",
                           "ID26.3 N·m",  "ID 4: 26.3 N·m", "26.3 N·m 30 N·m", "26.3.1 N·m",
                           "1e400 N·m",   "1e2 N·m",        "0x1F N·m",        "N·m",
                           "OL",          "\x01",           "26.3 N·m\x1b[2J", "26.3 N\xE9m",
                           "2 6.3 N·m",   "--26.3 N·m",     "26.3N·m58°"})
    CHECK(line + (": " + read(line, tool(), bare)) == line + std::string(": unreadable"));
  CHECK(read(std::string_view("26.3 N·m\0", 10), tool(), bare) == "unreadable");
  CHECK(read(std::string_view("26\0.3 N·m", 10), tool(), bare) == "unreadable");
}

TEST_CASE("wrench line a number with two points is told as such") {
  const units::Unit* bare = &units::newton_metre_unit();
  const TorqueWrench numbered = tool("P{skip}={torque} N·m @{angle}");
  for (const auto& [line, wrench] :
       std::vector<std::pair<std::string, TorqueWrench>>{{"1.2.3 N·m", tool()},
                                                         {"Peak: 1.2.3 N·m", tool()},
                                                         {"1.2.3", tool()},
                                                         {"P4=1.2.3 N·m @58", numbered}}) {
    CAPTURE(line);
    const WrenchLine got = read_wrench_line(line, wrench, bare);
    CHECK(got.kind == WrenchLine::Kind::unreadable);
    CHECK(got.slug == "bad-number");
    CHECK(got.why == "'1.2.3' has more than one decimal point; write one decimal point: 1.23 or 12.3");
  }
  // What is skipped may look as it likes.
  CHECK(read("P1.2.3=26.3 N·m @58", numbered) == "26.3 N·m; 58°");
  CHECK(read_wrench_line("OL", tool(), bare).slug == "unreadable");
}

TEST_CASE("wrench line decimal commas are read where the tool list says so") {
  CHECK(read("26,3 N·m", tool({}, DecimalSign::comma)) == "26.3 N·m");
  CHECK(read("26,3 N·m; 58,5°", tool({}, DecimalSign::comma)) == "26.3 N·m; 58.5°");
  CHECK(read("26.3 N·m", tool({}, DecimalSign::comma)) == "unreadable");
  CHECK(read("26,3;58", tool("{torque};{angle}", DecimalSign::comma, {}, &units::newton_metre_unit())) ==
        "26.3 N·m; 58°");
}

TEST_CASE("wrench line a template says what stands where") {
  const TorqueWrench numbered = tool("P{skip}={torque} N·m @{angle}");
  CHECK(read("P4=26.3 N·m @58", numbered) == "26.3 N·m; 58°");
  CHECK(read("P4=2=26.3 N·m @58", numbered) == "26.3 N·m; 58°");
  CHECK(read("P4=  26.3 N·m @58", numbered) == "26.3 N·m; 58°");
  CHECK(read("P4=26.3 N·m @58@9", numbered) == "unreadable");
  CHECK(read("P4=26.3 N·m", numbered) == "unreadable");
  CHECK(read("P4=-26.3 N·m @58", numbered) == "unreadable");
  CHECK(read("26.3;ok", tool("{torque};{skip}")) == "unreadable");  // no unit anywhere
  CHECK(read("26.3;ok", tool("{torque};{skip}", DecimalSign::point, {}, &units::foot_pound_unit())) ==
        "26.3 ft·lbf");
  CHECK(read("A=58 rad", tool("A={angle} rad")) == "58 rad");
  CHECK(read("ok,30 N·m#7", tool("{skip},{torque} N·m#{skip}")) == "30 N·m");
}

TEST_CASE("wrench line many gaps in a template cost no more than one") {
  std::string line, text;
  for (int i = 0; i < 30; ++i) line += "{skip},";
  const TorqueWrench gaps = tool(line + "{torque} N·m!");
  text = std::string(199, ',');
  const auto start = std::chrono::steady_clock::now();
  CHECK(read(text, gaps) == "unreadable");
  CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(5));  // it took for ever
}

TEST_CASE("wrench line comments and empty lines are passed over") {
  CHECK(read("# zero", tool({}, DecimalSign::point, "#")) == "ignored");
  CHECK(read("") == "ignored");
  CHECK(read("   ") == "ignored");
  CHECK(read("# 26.3 N·m") == "unreadable");  // nobody said that it is a comment
}
