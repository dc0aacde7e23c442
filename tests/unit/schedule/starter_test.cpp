#include <clampbook/schedule/starter.h>

#include <clampbook/schedule/read_schedule.h>

#include "tests/support/catch.h"

#include <memory>
#include <regex>
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
  const std::regex note("\n([^\n#]+|    # [a-z]+: [^#\n]+) # ");
  int notes = 0;
  for (std::sregex_iterator at(text.begin(), text.end(), note), end; at != end; ++at, ++notes)
    CHECK(at->length(1) == 26);
  CHECK(notes == 11);
}
