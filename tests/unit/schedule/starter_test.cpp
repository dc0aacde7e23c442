#include <clampbook/schedule/starter.h>

#include <clampbook/schedule/read_schedule.h>

#include "tests/support/catch.h"

#include <algorithm>
#include <memory>
#include <regex>
#include <sstream>
#include <string>

namespace {

using namespace clampbook;
using schedule::StarterOptions;
using units::System;

schedule::Schedule read(const std::string& text) {
  return schedule::read_schedule(std::make_shared<const text::Source>("starter.yaml", text));
}

StarterOptions two_bolts(System system) {
  StarterOptions out;
  out.system = system;
  if (system == System::imperial) {
    out.thread = "3/8-16 UNC";
    out.strength = "SAE 5";
  }
  const units::Measured step(3, units::inch_unit());
  out.bolts = schedule::bolts_in_rows(1, 2, step, step);
  return out;
}

}  // namespace

TEST_CASE("a starter is accepted as it is and with all that its comments offer", "[schedule][starter]") {
  for (const System system : {System::metric, System::imperial}) {
    const std::string text = schedule::starter_schedule(two_bolts(system));
    INFO(text);
    const schedule::Schedule plain = read(text);
    CHECK(plain.bolts.size() == 2);
    CHECK_FALSE(plain.fasteners.at(0).grip);

    const std::string full =
        std::regex_replace(text, std::regex("(^|\n)( *)# (\\w+: |- | {2}\\w+: |joint:)"), "$1$2$3");
    const schedule::Schedule filled = read(full);
    CHECK(filled.fasteners.at(0).grip);
    CHECK(filled.joint);
    CHECK(filled.stages.size() == plain.stages.size() + 1);
  }
}

TEST_CASE("an ASCII starter has no sign beyond it and says the same", "[schedule][starter]") {
  for (const System system : {System::metric, System::imperial}) {
    StarterOptions options = two_bolts(system);
    options.bolts[0].x = units::Measured(12.5, *units::find_unit("µm"));
    const schedule::Schedule as_written = read(schedule::starter_schedule(options));
    options.ascii = true;
    const std::string text = schedule::starter_schedule(options);
    INFO(text);
    CHECK(std::all_of(text.begin(), text.end(), [](char c) { return c == '\n' || (c >= ' ' && c <= '~'); }));
    const schedule::Schedule plain = read(text);
    REQUIRE(plain.stages.size() == as_written.stages.size());
    for (std::size_t i = 0; i < plain.stages.size(); ++i) {
      REQUIRE(plain.stages[i].target.has_value() == as_written.stages[i].target.has_value());
      if (plain.stages[i].target)
        CHECK(plain.stages[i].target->nominal.si() == as_written.stages[i].target->nominal.si());
    }
    CHECK(text.find("deg") != std::string::npos);
  }
}

TEST_CASE("an imperial starter has no metric figure", "[schedule][starter]") {
  const std::string text = schedule::starter_schedule(two_bolts(System::imperial));
  CHECK(text.find(" mm") == std::string::npos);
  CHECK(text.find("N·m") == std::string::npos);
  CHECK(text.find("ft·lbf") != std::string::npos);
}

TEST_CASE("the notes of a starter stand in one column", "[schedule][starter]") {
  StarterOptions options = two_bolts(System::imperial);
  options.order = schedule::OrderKind::star;
  const std::string text = schedule::starter_schedule(options);
  int notes = 0;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    const std::size_t at = line.rfind(" # ");
    if (at == std::string::npos || at < 5) continue;  // none, or a line that may be put to use
    CHECK(at == 26);
    ++notes;
  }
  CHECK(notes == 11);
}
