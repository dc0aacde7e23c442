#include "tests/support/catch.h"
#include "tests/support/schedules.h"

#include <algorithm>

using namespace clampbook;
using test::first_slug;
using test::schedule_from;
using test::simple;

TEST_CASE("the shipped schedules are read whole", "[schedule]") {
  const auto crankcase = test::shipped("split-crankcase.yaml");
  REQUIRE(crankcase.bolts.size() == 10);
  REQUIRE(crankcase.stages.size() == 8);
  REQUIRE(crankcase.fasteners[0].thread == "M10x1.5");
  REQUIRE(crankcase.fasteners[0].washer->hard);
  REQUIRE(crankcase.stages[3].sources == std::vector<std::string>{"sheet"});
  REQUIRE(crankcase.stages[3].written_for->strength == "10.9");
  REQUIRE(crankcase.lubricant->stated->name == "engine oil");
  REQUIRE(test::shipped("connecting-rods.yaml").groups() == std::vector<std::string>{"cap 1", "cap 2"});
  REQUIRE(test::shipped("discharge-flange.yaml").stages[7].same_torque);
}

TEST_CASE("every optional key of a fastener is kept", "[schedule]") {
  const auto s = schedule_from(R"(format: fastener schedule 1
title: T
fasteners:
  a:
    thread: M8x1
    strength: {yield: 1100 MPa, tensile: 1250 MPa, elongation: 9 %, standing: measured}
    head: {bearing: 14.63 mm}
    turned: nut
    grip: 45 mm
    shank: [{length: 10 mm, diameter: 8.2 mm}, {length: 20 mm, diameter: 6.8 mm}, 5 mm]
    engagement: 14 mm
    length: 70 mm
    hole_depth: 30 mm
    prevailing_torque: 0.8 N·m
    reuse: {growth_below: 0.02 mm}
    treated: replated
    lubricant: {used: {thread: 0.10..0.16, seat: 12 %}}
    joint: {layers: [{modulus: 110 GPa, thickness: 45 mm}], into: {material: steel, thread: nut}}
bolts: [{id: L}]
stages: [{stretch: 0.17 mm}]
)");
  const auto& f = s.fasteners[0];
  REQUIRE(f.nut_turned);
  REQUIRE(f.strength.own->standing == schedule::Standing::measured);
  REQUIRE_THAT(f.strength.own->elongation.si(), WithinRel(0.09, 1e-15));
  REQUIRE(f.shank.size() == 3);
  REQUIRE(f.shank[1].diameter->in(units::millimetre_unit()) == 6.8);
  REQUIRE_FALSE(f.shank[2].diameter);
  REQUIRE(f.reuse.kind == schedule::ReuseKind::growth_below);
  REQUIRE(f.lubricant->used->thread->low == 0.10);
  REQUIRE_THAT(f.lubricant->used->thread->nominal, WithinRel(0.13, 1e-12));
  REQUIRE_THAT(f.lubricant->used->seat->nominal, WithinRel(0.12, 1e-12));
  REQUIRE_THAT(f.lubricant->used->seat->high, WithinRel(0.144, 1e-12));
  REQUIRE(f.joint->into->nut);
  REQUIRE(s.joint_of(f) == &*f.joint);
}

TEST_CASE("ids are texts whatever YAML would make of them", "[schedule]") {
  const auto s = schedule_from(
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\n"
      "bolts: [{id: 010}, {id: no}, {id: \"1.0\"}, {id: 1e3}]\nstages: [{torque: 5 N·m}]\n");
  REQUIRE(s.bolts[0].id == "010");
  REQUIRE(s.bolts[1].id == "no");
  REQUIRE(s.bolts[2].id == "1.0");
  REQUIRE(s.bolts[3].id == "1e3");
}

TEST_CASE("a stage may name its bolts by list or by group", "[schedule]") {
  const std::string front =
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\n"
      "bolts: [{id: 1, group: in}, {id: 2, group: out}, {id: 3, group: in}]\n";
  const auto s =
      schedule_from(front + "stages: [{torque: 5 N·m, bolts: in}, {torque: 5 N·m, bolts: [3, 2]}]\n");
  REQUIRE(s.stages[0].bolts == std::vector<std::size_t>{0, 2});
  REQUIRE(s.stages[1].bolts == std::vector<std::size_t>{1, 2});
}

TEST_CASE("a byte order mark and CRLF line ends are taken as they come", "[schedule]") {
  std::string text = "\xEF\xBB\xBF" + simple("  - {torque: 5 N·m}\n");
  for (std::size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', at + 2))
    text.insert(at, "\r");
  REQUIRE(schedule_from(text).stages.size() == 1);
}

TEST_CASE("limits are refused by their slug", "[schedule]") {
  REQUIRE(first_slug(std::string((4 << 20) + 1, '#')) == "too-large");
  std::string bolts =
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\nbolts:\n";
  for (int i = 0; i < 20001; ++i) bolts += "  - {id: " + std::to_string(i) + "}\n";
  REQUIRE(first_slug(bolts + "stages: [{torque: 5 N·m}]\n") == "too-large");
  std::string stages;
  for (int i = 0; i < 101; ++i) stages += "  - {torque: 5 N·m}\n";
  REQUIRE(first_slug(simple(stages, 2000)) == "too-large");
  REQUIRE(first_slug(simple(stages, 1900)).empty());
}

TEST_CASE("random bytes are refused and nothing else happens", "[schedule]") {
  std::uint64_t state = 0x9E3779B97F4A7C15;
  const auto next = [&state] {  // xorshift64
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return state;
  };
  for (int round = 0; round < 300; ++round) {
    std::string text(1 + next() % 400, ' ');
    for (char& c : text) c = static_cast<char>(next() % 256);
    INFO("round " << round);
    REQUIRE_FALSE(first_slug(text).empty());
  }
  // Bytes that YAML knows, so that the parser gets further.
  const std::string alphabet = "abc: -[]{},\"'#&*!|>%@`?\n\t 019.N·m±";
  for (int round = 0; round < 2000; ++round) {
    std::string text = "format: fastener schedule 1\n";
    for (std::uint64_t n = next() % 80; n > 0; --n) text += alphabet[next() % alphabet.size()];
    INFO(text);
    REQUIRE_FALSE(first_slug(text).empty());
  }
}

TEST_CASE("bolts are chosen by ids and ranges and groups", "[schedule]") {
  const auto s = schedule_from(
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\n"
      "bolts: [{id: 1, group: in}, {id: 2, group: out}, {id: 3, group: in}, {id: 4-5, group: out}]\nstages: "
      "[{torque: 5 N·m}]\n");
  const auto chosen = [&](const std::string& text) {
    return schedule::select_bolts(
        s, std::make_shared<const text::Source>("--only", text, text::Source::Kind::argument));
  };
  REQUIRE(chosen("1-3") == std::vector<std::size_t>{0, 1, 2});
  REQUIRE(chosen("3, 1") == std::vector<std::size_t>{0, 2});
  REQUIRE(chosen("out") == std::vector<std::size_t>{1, 3});
  REQUIRE(chosen("4-5") == std::vector<std::size_t>{3});
  REQUIRE_THROWS_AS(chosen("1-9"), InputError);
  REQUIRE_THROWS_AS(chosen("3-1"), InputError);
  REQUIRE_THROWS_AS(chosen(""), InputError);
  REQUIRE_THROWS_AS(chosen("inn"), InputError);
}
