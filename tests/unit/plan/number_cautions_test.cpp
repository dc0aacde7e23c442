// Each caution that needs numbers appears where they call for it, and nowhere else.
#include "tests/support/catch.h"
#include "tests/support/schedules.h"

#include <clampbook/plan/cautions.h>

#include <algorithm>

using namespace clampbook;

namespace {

struct Parts {
  std::string thread = "M10", strength = "\"8.8\"", bolt = "grip: 60 mm, shank: 30 mm, engagement: 20 mm",
              layer = "steel", into = "steel", thread_kind = "tapped",
              lubricant = "{thread: 0.12, seat: 0.12}", stages = "[{torque: 40 N·m}]";
};

std::string text_of(const Parts& p) {
  return "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: " + p.thread +
         ", strength: " + p.strength + ", " + p.bolt + "}}\njoint: {layers: [{material: " + p.layer +
         ", thickness: 60 mm, outer: 40 mm}], into: {material: " + p.into + ", thread: " + p.thread_kind +
         "}}\nlubricant: {stated: " + p.lubricant + ", used: " + p.lubricant +
         "}\nbolts: [{id: 1}]\nstages: " + p.stages + "\n";
}

std::vector<plan::Caution> cautions_of(const std::string& text) {
  const auto schedule = test::schedule_from(text);
  return plan::number_cautions(schedule, plan::predict(schedule));
}

const plan::Caution* find(const std::vector<plan::Caution>& cautions, const std::string& slug) {
  const auto found =
      std::find_if(cautions.begin(), cautions.end(), [&](const plan::Caution& c) { return c.slug == slug; });
  return found == cautions.end() ? nullptr : &*found;
}

// The caution appears for `bad`, with both numbers on the side that its meaning asks for, and not for `good`.
void appears(const std::string& slug, const Parts& bad, const Parts& good, bool have_above_limit) {
  INFO(slug);
  const auto with = cautions_of(text_of(bad));
  const plan::Caution* caution = find(with, slug);
  REQUIRE(caution != nullptr);
  REQUIRE(caution->have);
  REQUIRE(caution->limit);
  REQUIRE((*caution->have > *caution->limit) == have_above_limit);
  REQUIRE(find(cautions_of(text_of(good)), slug) == nullptr);
}

Parts with(std::string Parts::*member, std::string value) {
  Parts p;
  p.*member = std::move(value);
  return p;
}

}  // namespace

TEST_CASE("a plain elastic joint raises no caution", "[plan][cautions]") {
  for (const auto& c : cautions_of(text_of({}))) FAIL(c.slug << ": " << c.text);
}

TEST_CASE("yield and break and what follows from them are cautioned", "[plan][cautions]") {
  // VDI 2230 table A1: M10 8.8 at friction 0.12 reaches 90 % of yield with 48 N·m at the latest.
  appears("yields", with(&Parts::stages, "[{torque: 56 N·m}]"), {}, true);
  appears("near-break", with(&Parts::stages, "[{torque: 120 N·m}]"),
          with(&Parts::stages, "[{torque: 40 N·m}, {angle: 90°}]"), true);
  appears("recheck-past-yield", with(&Parts::stages, "[{torque: 40 N·m}, {angle: 120°}, {recheck: 60 N·m}]"),
          with(&Parts::stages, "[{torque: 40 N·m}, {recheck: same}]"), true);
  appears("thin-margin", with(&Parts::stages, "[{torque: 49 N·m}]"), {}, true);
  REQUIRE(find(cautions_of(text_of(with(&Parts::stages, "[{torque: 40 N·m}, {angle: 180°}]"))),
               "thin-margin") == nullptr);
}

TEST_CASE("figures that are for another bolt or in another unit are implausible", "[plan][cautions]") {
  appears("implausible-figure", with(&Parts::stages, "[{torque: 5 N·m}]"), {}, false);
  Parts broken = with(&Parts::stages, "[{torque: 200 N·m}]");
  REQUIRE(find(cautions_of(text_of(broken)), "implausible-figure") != nullptr);
}

TEST_CASE("a final torque that can't be expected is cautioned", "[plan][cautions]") {
  appears("window-unreachable",
          with(&Parts::stages, "[{torque: 20 N·m}, {angle: 30°, final_torque: 200..220 N·m}]"),
          with(&Parts::stages, "[{torque: 20 N·m}, {angle: 30°, final_torque: 30..60 N·m}]"), false);
}

TEST_CASE("threads that strip and seats that crush are cautioned", "[plan][cautions]") {
  Parts shallow = with(&Parts::into, "magnesium");
  shallow.bolt = "grip: 60 mm, shank: 30 mm, engagement: 5 mm";
  appears("hole-strips", shallow, {}, false);
  Parts short_thread;
  short_thread.bolt = "grip: 60 mm, shank: 30 mm, engagement: 8 mm";
  short_thread.into = "aluminium";
  short_thread.stages = "[{torque: 15 N·m}]";
  appears("short-engagement", short_thread, {}, false);
  Parts soft = with(&Parts::layer, "magnesium");
  appears("seat-crushes", soft, {}, true);
  soft.bolt += ", washer: {outer: 30 mm, thickness: 0.001 mm, hard: true}";
}

TEST_CASE("a hard washer spreads the load", "[plan][cautions]") {
  Parts bare = with(&Parts::layer, "aluminium");
  bare.stages = "[{torque: 35 N·m}]";
  REQUIRE(find(cautions_of(text_of(bare)), "seat-crushes") != nullptr);
  const std::string washer =
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\", grip: 64 mm, "
      "shank: 30 mm, engagement: 20 mm, "
      "washer: {outer: 24 mm, thickness: 4 mm, hard: true}}}\njoint: {layers: [{material: aluminium, "
      "thickness: 60 mm, outer: 40 mm}], into: {material: steel, thread: tapped}}\n"
      "lubricant: {used: {thread: 0.12, seat: 0.12}}\nbolts: [{id: 1}]\nstages: [{torque: 35 N·m}]\n";
  REQUIRE(find(cautions_of(washer), "seat-crushes") == nullptr);
}

TEST_CASE("a bolt that is to yield needs free thread or a waist", "[plan][cautions]") {
  Parts full = with(&Parts::stages, "[{torque: 40 N·m}, {angle: 120°}]");
  Parts stubby = full;
  stubby.bolt = "grip: 60 mm, shank: 56 mm, engagement: 20 mm";
  appears("short-free-thread", stubby, full, false);
  Parts waisted = full;
  waisted.bolt = "grip: 60 mm, shank: [{length: 6 mm}, {length: 50 mm, diameter: 8 mm}], engagement: 20 mm";
  REQUIRE(find(cautions_of(text_of(waisted)), "short-free-thread") == nullptr);
}

TEST_CASE("what is missing is named", "[plan][cautions]") {
  const auto found = cautions_of(test::simple("  - {torque: 30 N·m}\n"));
  const plan::Caution* caution = find(found, "no-joint-data");
  REQUIRE(caution != nullptr);
  REQUIRE(caution->text.find("lubricant") != std::string::npos);
  REQUIRE(caution->text.find("grip") != std::string::npos);
}
