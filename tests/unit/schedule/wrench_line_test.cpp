#include <clampbook/schedule/wrench_line.h>
#include <clampbook/units/format.h>

#include "tests/support/catch.h"


#include <chrono>

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

// "28.4 N·m; 61°", "ignored", or "unreadable"
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
  CHECK(read("28.4 N·m") == "28.4 N·m");
  CHECK(read("  +028.40 Nm  ") == "28.4 N·m");
  CHECK(read("Peak: 28.4 N.m") == "28.4 N·m");
  CHECK(read("TORQUE=21 ft-lb") == "21 ft·lbf");
  CHECK(read("28.4 N\xB7m") == "28.4 N·m");  // Latin-1
  CHECK(read("61\xB0") == "61°");
  CHECK(read("0 N·m") == "0 N·m");
}

TEST_CASE("wrench line a second quantity of another kind") {
  CHECK(read("28.4 N·m, 61°") == "28.4 N·m; 61°");
  CHECK(read("28.4 N·m;61 deg") == "28.4 N·m; 61°");
  CHECK(read("28.4 N·m\t61 deg") == "28.4 N·m; 61°");
  CHECK(read("61° 70 N·m") == "61°; 70 N·m");
}

TEST_CASE("wrench line a bare number takes the unit that is to be assumed") {
  CHECK(read("28.4") == "unreadable");
  CHECK(read("28.4", tool(), &units::foot_pound_unit()) == "28.4 ft·lbf");
  CHECK(read("28.4, 61°", tool(), &units::newton_metre_unit()) == "28.4 N·m; 61°");
  CHECK(read("28.4, 61", tool(), &units::newton_metre_unit()) == "unreadable");
}

TEST_CASE("wrench line what could be read as another figure is not read") {
  const units::Unit* bare = &units::newton_metre_unit();
  for (const char* line : {"28.4 N·m*5A",
                           "28.4 N·m 5A",
                           "28.4 N·m 61° 3",
                           "17,28.4 N·m,61",
                           "28,4 N·m",
                           "28,4",
                           "28.4 nm",
                           "-28.4 N·m",
                           "ID28.4 N·m",
                           "ID 17: 28.4 N·m",
                           "28.4 N·m 30 N·m",
                           "28.4.1 N·m",
                           "1e400 N·m",
                           "1e2 N·m",
                           "0x1F N·m",
                           "N·m",
                           "OL",
                           "\x01",
                           "28.4 N·m\x1b[2J",
                           "28.4 N\xE9m",
                           "2 8.4 N·m",
                           "--28.4 N·m",
                           "28.4N·m61°"})
    CHECK(line + (": " + read(line, tool(), bare)) == line + std::string(": unreadable"));
  CHECK(read(std::string_view("28.4 N·m\0", 10), tool(), bare) == "unreadable");
  CHECK(read(std::string_view("28\0.4 N·m", 10), tool(), bare) == "unreadable");
}

TEST_CASE("wrench line decimal commas are read where the tool list says so") {
  CHECK(read("28,4 N·m", tool({}, DecimalSign::comma)) == "28.4 N·m");
  CHECK(read("28,4 N·m; 61,5°", tool({}, DecimalSign::comma)) == "28.4 N·m; 61.5°");
  CHECK(read("28.4 N·m", tool({}, DecimalSign::comma)) == "unreadable");
  CHECK(read("28,4;61", tool("{torque};{angle}", DecimalSign::comma, {}, &units::newton_metre_unit())) ==
        "28.4 N·m; 61°");
}

TEST_CASE("wrench line a template says what stands where") {
  const TorqueWrench numbered = tool("{skip},{torque} N·m,{angle}");
  CHECK(read("17,28.4 N·m,61", numbered) == "28.4 N·m; 61°");
  CHECK(read("1,2,28.4 N·m,61", numbered) == "28.4 N·m; 61°");
  CHECK(read("17,  28.4 N·m,61", numbered) == "28.4 N·m; 61°");
  CHECK(read("17,28.4 N·m,61,9", numbered) == "unreadable");
  CHECK(read("17,28.4 N·m", numbered) == "unreadable");
  CHECK(read("17,-28.4 N·m,61", numbered) == "unreadable");
  CHECK(read("28.4;ok", tool("{torque};{skip}")) == "unreadable");  // no unit anywhere
  CHECK(read("28.4;ok", tool("{torque};{skip}", DecimalSign::point, {}, &units::foot_pound_unit())) ==
        "28.4 ft·lbf");
  CHECK(read("A=61 rad", tool("A={angle} rad")) == "61 rad");
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
  CHECK(read("# 28.4 N·m") == "unreadable");  // nobody said that it is a comment
}
