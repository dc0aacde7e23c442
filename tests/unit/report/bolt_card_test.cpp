#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/joint/thread_table.h>
#include <clampbook/report/bolt_card.h>
#include <clampbook/text/utf8.h>

#include "tests/support/catch.h"

#include <sstream>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using report::BoltCard;

// A card of the tables' head and hole; nothing where they have none.
std::optional<BoltCard> card(std::string_view thread, std::string_view strength) {
  const auto named = joint::find_thread(thread);
  const auto metal = joint::find_strength(strength, named->thread.diameter());
  const auto head = joint::find_standard_head(joint::HeadShape::hexagon, named->thread);
  const auto hole = joint::find_clearance_hole(named->thread);
  if (!metal || !head || !hole) return std::nullopt;
  return BoltCard{
      *named, *metal, joint::ThreadFriction(0.12), joint::SeatFriction(0.12), head->seat_outer, *hole, true,
      true,   0.9};
}

double number(const text::Json& json, const char* key) {
  return *json.find(key)->as_number();
}

TEST_CASE("a card fits forty columns for every standard thread in both systems", "[report][bolt]") {
  int cards = 0;
  for (const std::string& thread : joint::standard_threads()) {
    for (const char* strength : {"8.8", "SAE 8"}) {
      const auto c = card(thread, strength);
      if (!c) continue;
      ++cards;
      for (const auto system : {units::System::metric, units::System::imperial}) {
        report::TextStyle style;
        style.system = system;
        std::istringstream lines(report::bolt_card(*c, style));
        for (std::string line; std::getline(lines, line);) {
          CAPTURE(thread, line);
          REQUIRE(text::display_width(line) <= 40);
        }
      }
    }
  }
  CHECK(cards > 100);
}

TEST_CASE("a card in JSON has the keys of the contract in their order", "[report][bolt]") {
  const text::Json json = report::to_json(*card("M10", "10.9"));
  std::string keys;
  for (const auto& [key, value] : *json.as_object()) keys += key + " ";
  CHECK(keys ==
        "thread strength pitch_mm pitch_diameter_mm minor_diameter_mm stress_area_mm2 yield_MPa tensile_MPa "
        "proof_load_N yield_load_N breaking_load_N assembly_preload_N assembly_torque_Nm nut_factor "
        "torque_split ");
}

TEST_CASE("figures of a card agree with one another", "[report][bolt]") {
  for (const char* thread : {"M3", "M10", "M24x2", "3/8-16 UNC", "1/2-20 UNF"}) {
    CAPTURE(thread);
    const text::Json json = report::to_json(*card(thread, "8.8"));
    const double area = number(json, "stress_area_mm2");
    CHECK_THAT(number(json, "yield_load_N"), WithinRel(area * number(json, "yield_MPa"), 1e-12));
    CHECK_THAT(number(json, "breaking_load_N"), WithinRel(area * number(json, "tensile_MPa"), 1e-12));
    const text::Json& split = *json.find("torque_split");
    const double pitch_share = number(split, "pitch");
    CHECK_THAT(pitch_share + number(split, "thread") + number(split, "seat"), WithinRel(1, 1e-12));
    // The pitch's share of the torque is F P/2pi.
    const double pitch_torque =
        number(json, "assembly_preload_N") * number(json, "pitch_mm") * 1e-3 / (2 * joint::kPi);
    CHECK_THAT(pitch_share * number(json, "assembly_torque_Nm"), WithinRel(pitch_torque, 1e-12));
    CHECK(number(json, "assembly_preload_N") < 0.9 * number(json, "yield_load_N"));
  }
}

TEST_CASE("the assembly preload is a share of the yield preload", "[joint][bolt]") {
  BoltCard c = *card("M12", "12.9");
  const joint::Force at_ninety = c.assembly().preload;
  c.utilisation = 1;
  CHECK_THAT(at_ninety / c.assembly().preload, WithinRel(0.9, 1e-12));
  c.utilisation = 1.01;
  CHECK_THROWS_AS(c.assembly(), DomainError);
  c.utilisation = 0;
  CHECK_THROWS_AS(c.assembly(), DomainError);
  c.utilisation = 0.9;
  c.hole = c.head_bearing;
  CHECK_THROWS_AS(c.assembly(), DomainError);
}

TEST_CASE("strength without a proof stress gives null and leaves the line out", "[report][bolt]") {
  BoltCard c = *card("M10", "10.9");
  CHECK(report::bolt_card(c, {}).find("proof") != std::string::npos);
  c.strength.proof.reset();
  CHECK(report::to_json(c).find("proof_load_N")->is_null());
  CHECK(report::bolt_card(c, {}).find("proof") == std::string::npos);
}

}  // namespace
