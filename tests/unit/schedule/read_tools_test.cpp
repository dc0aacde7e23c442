#include <clampbook/schedule/line_template.h>
#include <clampbook/schedule/tool_list.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include "tests/support/catch.h"
#include "tests/support/tools.h"

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using schedule::DecimalSign;
using test::tools_from;

std::chrono::year_month_day day(int y, unsigned m, unsigned d) {
  return {std::chrono::year(y), std::chrono::month(m), std::chrono::day(d)};
}

// The slug of the first problem, or empty.
std::string first_slug(const std::string& text) {
  try {
    static_cast<void>(tools_from(text));
    return {};
  } catch (const InputError& e) {
    return e.diagnostics().front().slug;
  }
}

std::string wrench(const std::string& keys) {
  return "torque_wrenches: {a: {range: 5..25 N·m, accuracy: 4 %, " + keys + "}}\n";
}

TEST_CASE("every key of a tool list reaches the model", "[schedule][tools]") {
  const auto tools = tools_from(
      "title: Bench\n"
      "notice: Invented\n"
      "torque_wrenches:\n"
      "  small: {range: 5..25 N·m, accuracy: 4 %, calibrated: 2026-02-10, due: 2027-02-10, length: 260 mm,\n"
      "    adapter: {reach: 40 mm, angle: 90°}, indicates: click, unit: ft·lbf,\n"
      "    line: '{skip};{torque} N·m;{angle}', decimal: comma, ignore: '#'}\n"
      "  plain: {range: 20 ft·lbf..100 N·m, accuracy: 0.01}\n"
      "angle_gauges: {dial: {accuracy: 2°, due: 2028-02-29}}\n"
      "length_gauges: {micrometer: {accuracy: 0.005 mm}}\n");
  CHECK(tools.title == "Bench");
  CHECK(tools.notice == "Invented");
  REQUIRE(tools.torque_wrenches.size() == 2);
  const auto& small = tools.torque_wrenches[0];
  CHECK(small.name == "small");
  CHECK_THAT(small.range.low.machine_value(), WithinRel(5, 1e-12));
  CHECK_THAT(small.range.high.machine_value(), WithinRel(25, 1e-12));
  CHECK_THAT(small.accuracy.si(), WithinRel(0.04, 1e-12));
  CHECK(*small.calibration.done == day(2026, 2, 10));
  CHECK(*small.calibration.due == day(2027, 2, 10));
  CHECK_THAT(small.length->machine_value(), WithinRel(260, 1e-12));
  CHECK_THAT(small.adapter->reach.machine_value(), WithinRel(40, 1e-12));
  CHECK_THAT(small.adapter->angle.machine_value(), WithinRel(90, 1e-12));
  CHECK(small.indicates == schedule::Indicates::click);
  CHECK(small.unit == &units::foot_pound_unit());
  CHECK(small.line == "{skip};{torque} N·m;{angle}");
  CHECK(small.decimal == DecimalSign::comma);
  CHECK(small.ignore == "#");
  const auto& plain = tools.torque_wrenches[1];
  CHECK(plain.indicates == schedule::Indicates::unsaid);
  CHECK(plain.decimal == DecimalSign::point);
  CHECK(plain.unit == nullptr);
  CHECK_FALSE(plain.length);
  CHECK_FALSE(plain.adapter);
  CHECK_FALSE(plain.calibration.due);
  REQUIRE(tools.angle_gauges.size() == 1);
  CHECK_THAT(tools.angle_gauges[0].accuracy.machine_value(), WithinRel(2, 1e-12));
  CHECK(*tools.angle_gauges[0].calibration.due == day(2028, 2, 29));
  REQUIRE(tools.length_gauges.size() == 1);
  CHECK_THAT(tools.length_gauges[0].accuracy.machine_value(), WithinRel(0.005, 1e-12));
}

TEST_CASE("the shipped tool list is read and says that it is invented", "[schedule][tools]") {
  const auto tools = schedule::read_tools(
      text::read_file(CLAMPBOOK_SOURCE_DIR "/schedules/tools.yaml", std::size_t{1} << 20));
  CHECK(tools.notice.find("Invented") != std::string::npos);
  CHECK(tools.torque_wrenches.size() == 3);
  CHECK(tools.angle_gauges.size() == 1);
  CHECK(tools.length_gauges.size() == 1);
}

TEST_CASE("an adapter without an angle lies straight on", "[schedule][tools]") {
  const auto tools = tools_from(wrench("length: 260 mm, adapter: {reach: 40 mm}"));
  CHECK(tools.torque_wrenches[0].adapter->angle.number() == 0);
}

TEST_CASE("bounds of a tool are included where they can be", "[schedule][tools]") {
  CHECK(first_slug("torque_wrenches: {a: {range: 5..25 N·m, accuracy: 50 %}}\n").empty());
  CHECK(first_slug("torque_wrenches: {a: {range: 5..25 N·m, accuracy: 50.1 %}}\n") == "out-of-domain");
  CHECK(first_slug("torque_wrenches: {a: {range: 0..25 N·m, accuracy: 4 %}}\n").empty());
  CHECK(first_slug(wrench("length: 41 mm, adapter: {reach: 40 mm, angle: 180°}")).empty());
  CHECK(first_slug(wrench("length: 40 mm, adapter: {reach: 40 mm, angle: 180°}")) == "out-of-domain");
  CHECK(first_slug(wrench("calibrated: 2026-02-10, due: 2026-02-11")).empty());
  CHECK(first_slug(wrench("calibrated: 2026-02-10, due: 2026-02-10")) == "out-of-domain");
}

TEST_CASE("days that the calendar has are read and others refused", "[schedule][tools]") {
  for (const char* good : {"2026-02-28", "2028-02-29", "1999-12-31", "0001-01-01"}) {
    CAPTURE(good);
    CHECK(first_slug(wrench(std::string("due: ") + good)).empty());
  }
  for (const char* bad : {"2026-02-29", "2100-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "2026-1-1",
                          "2026/01/01", "20260101", "'2026-01-01 '", "-026-01-01"}) {
    CAPTURE(bad);
    CHECK(first_slug(wrench(std::string("due: ") + bad)) == "bad-time");
  }
}

TEST_CASE("a template of lines tells what it cannot be read by", "[schedule][tools]") {
  const auto slug = [](std::string_view line, DecimalSign decimal = DecimalSign::point) {
    const auto fault = schedule::check_line_template(line, decimal);
    return fault ? fault->slug : std::string();
  };
  for (const char* good : {"{torque}", "{angle}°", "{torque} {angle}", "P{skip}={torque} N·m @{angle}",
                           "T={torque}; A={angle};{skip}", "{skip}.{torque}"}) {
    CAPTURE(good);
    CHECK(slug(good).empty());
  }
  CHECK(slug("") == "missing-key");
  CHECK(slug("{skip}") == "missing-key");
  CHECK(slug("{torque") == "wrong-shape");
  CHECK(slug("{tor{angle}") == "wrong-shape");
  CHECK(slug("torque}") == "wrong-shape");
  CHECK(slug("{torque}{angle}") == "wrong-shape");
  CHECK(slug("{}") == "unknown-word");
  CHECK(slug("{Torque}") == "unknown-word");
  CHECK(slug("{torque} {torque}") == "duplicate-key");
  CHECK(slug("{torque}.{angle}") == "conflicting-keys");
  CHECK(slug("{torque},{angle}").empty());
  CHECK(slug("{torque},{angle}", DecimalSign::comma) == "conflicting-keys");
  CHECK(slug("{torque};{angle}", DecimalSign::comma).empty());
}

}  // namespace
