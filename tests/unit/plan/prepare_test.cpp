#include <clampbook/plan/prepare.h>

#include "tests/support/catch.h"
#include "tests/support/schedules.h"
#include "tests/support/tools.h"

#include <clampbook/plan/plan_json.h>

#include <algorithm>

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using plan::Plan;
using plan::Prepared;
using text::Json;

namespace {

const std::string kTools =
    "torque_wrenches: {small: {range: 5..25 ft·lbf, accuracy: 1 %, unit: ft·lbf},\n"
    "                  large: {range: 20..100 N·m, accuracy: 4 %}}\n"
    "angle_gauges: {dial: {accuracy: 4°}}\n";

// Two kinds of bolt, of which the second alone is single-use, tightened through yield.
const std::string kTwoKinds =
    "format: fastener schedule 1\ntitle: T\nfasteners:\n"
    "  a: {thread: M10, strength: \"10.9\", grip: 40 mm, engagement: 20 mm}\n"
    "  b: {thread: M10, strength: \"10.9\", grip: 40 mm, engagement: 20 mm, reuse: never}\n"
    "joint: {layers: [{material: steel, thickness: 40 mm, outer: 40 mm}], into: {material: steel, thread: "
    "tapped}}\n"
    "lubricant: {used: {thread: 0.12, seat: 0.12}}\n"
    "bolts: [{id: 1, fastener: a}, {id: 2, fastener: a}, {id: 3, fastener: b}]\n"
    "order: listed\n"
    "stages: [{torque: 30 N·m}, {torque: 60 N·m, bolts: [3]}, {angle: 90°}]\n";

std::vector<std::string> slugs(const Plan& plan) {
  std::vector<std::string> out;
  for (const plan::Caution& c : plan.cautions) out.push_back(c.slug + " " + c.fastener.value_or(""));
  return out;
}

bool has(const Plan& plan, const std::string& slug) {
  const auto all = slugs(plan);
  return std::find(all.begin(), all.end(), slug) != all.end();
}

Json kept(const Plan& plan) {
  return *text::parse_json(plan::to_record(plan).dump());
}

}  // namespace

TEST_CASE("a narrower plan has the tools of the whole one and the cautions of its own bolts",
          "[plan][prepare]") {
  const auto schedule = test::schedule_from(kTwoKinds);
  const auto tools = test::tools_from(kTools);
  const Prepared whole = plan::prepare(schedule, {}, &tools);
  const std::vector<std::size_t> first{0};
  const Prepared part = plan::prepare(schedule, first, &tools);
  REQUIRE(part.tools.size() == whole.tools.size());
  for (std::size_t i = 0; i < part.tools.size(); ++i) CHECK(part.tools[i].limit == whole.tools[i].limit);
  CHECK(has(*whole.plan, "single-use b"));
  CHECK_FALSE(has(*part.plan, "single-use b"));
  CHECK(has(*whole.plan, "yields a"));
  CHECK(has(*part.plan, "yields a"));
  CHECK(part.predictions.size() == whole.predictions.size());
  CHECK(plan::count_steps(schedule, first) == part.plan->steps.size());
  for (const plan::Step& step : part.plan->steps) {
    const auto same = std::find_if(whole.plan->steps.begin(), whole.plan->steps.end(),
                                   [&](const plan::Step& s) { return s.step == step.step; });
    REQUIRE(same != whole.plan->steps.end());
    CHECK(plan::to_json(*same).dump() == plan::to_json(step).dump());
    CHECK(same->may_yield == step.may_yield);
  }
}

TEST_CASE("a finer wrench narrows what is foretold of its stage", "[plan][prepare]") {
  const auto schedule = test::schedule_from(kTwoKinds);
  const auto wide = test::tools_from("torque_wrenches: {a: {range: 5..100 N·m, accuracy: 20 %}}\n");
  const auto fine = test::tools_from("torque_wrenches: {a: {range: 5..100 N·m, accuracy: 1 %}}\n");
  const auto least = [&](const schedule::ToolList& tools) {
    const Prepared prepared = plan::prepare(schedule, {}, &tools);
    return prepared.plan->steps.front().forecast->may_yield_from.torque->number();
  };
  CHECK(least(wide) < least(fine));
}

TEST_CASE("where the physics refuses a kept schedule its turns count as yielding", "[plan][prepare]") {
  // A cover that is narrower than its holes: the physics is asked alone, past the reader.
  auto schedule = test::schedule_from(kTwoKinds);
  schedule.joint->layers.front().outer = units::Measured(5, units::millimetre_unit());
  REQUIRE_THROWS_AS(plan::prepare(schedule), InputError);
  const Prepared kept = plan::prepare_kept(schedule, {}, nullptr);
  CHECK(kept.predictions.empty());
  CHECK(has(*kept.plan, "single-use b"));
  for (const plan::Step& step : kept.plan->steps) {
    CHECK(step.may_yield == (step.kind == plan::StageKind::angle));
    CHECK(step.forecast == nullptr);
  }
}

TEST_CASE("a kept plan has its settings in their unit and its cautions and forecasts",
          "[plan][prepare][json]") {
  const auto schedule = test::schedule_from(kTwoKinds);
  const auto tools = test::tools_from(kTools);
  const Prepared prepared = plan::prepare(schedule, {}, &tools);
  const auto back = plan::from_record(kept(*prepared.plan));
  REQUIRE(back);
  REQUIRE(prepared.plan->steps.front().setting);
  CHECK(prepared.plan->steps.front().setting->unit().spelling == "ft·lbf");
  REQUIRE(back->steps.size() == prepared.plan->steps.size());
  for (std::size_t i = 0; i < back->steps.size(); ++i) {
    const plan::Step &was = prepared.plan->steps[i], &is = back->steps[i];
    CHECK(plan::to_json(is).dump() == plan::to_json(was).dump());
    if (was.setting) CHECK(&is.setting->unit() == &was.setting->unit());
    REQUIRE((is.forecast != nullptr) == (was.forecast != nullptr));
    if (!was.forecast || !was.forecast->expected) continue;
    CHECK(is.forecast->expected->least.number() == was.forecast->expected->least.number());
    CHECK(is.forecast->expected->least_rise.number() == was.forecast->expected->least_rise.number());
  }
  REQUIRE_FALSE(prepared.plan->cautions.empty());
  REQUIRE(back->cautions.size() == prepared.plan->cautions.size());
  for (std::size_t i = 0; i < back->cautions.size(); ++i)
    CHECK(plan::to_json(back->cautions[i]).dump() == plan::to_json(prepared.plan->cautions[i]).dump());
  CHECK(plan::to_record(*back).dump() == plan::to_record(*prepared.plan).dump());
}

TEST_CASE("the text of a plan holds each step as its own JSON is", "[plan][prepare][json]") {
  const Prepared prepared = plan::prepare(test::shipped("split-crankcase.yaml"));
  const Json whole = *text::parse_json(plan::to_json_text(*prepared.plan));
  const Json::Array& steps = *whole.find("steps")->as_array();
  REQUIRE(steps.size() == prepared.plan->steps.size());
  for (std::size_t i = 0; i < steps.size(); ++i)
    CHECK(steps[i].dump() == plan::to_json(prepared.plan->steps[i]).dump());
}

TEST_CASE("a plan that an earlier program kept is read as it was", "[plan][prepare][json]") {
  const Plan plan = *plan::prepare(test::schedule_from(kTwoKinds)).plan;
  Json old = kept(plan);
  std::erase_if(*old.as_object(), [](const auto& member) {
    return member.first == "forecasts" || member.first == "cautions" || member.first == "version";
  });
  for (auto& [name, value] : *old.as_object())
    if (name == "steps")
      for (Json& step : *value.as_array())
        std::erase_if(*step.as_object(), [](const auto& member) { return member.first == "forecast"; });
  const auto back = plan::from_record(old);
  REQUIRE(back);
  CHECK(back->cautions.empty());
  CHECK(back->steps.size() == plan.steps.size());
  CHECK(back->steps.back().may_yield);
  CHECK(back->steps.back().forecast == nullptr);
  CHECK_FALSE(plan::is_newer(old));
}

TEST_CASE("a plan of a later version is newer and not damaged", "[plan][prepare][json]") {
  const Json now = kept(*plan::prepare(test::schedule_from(kTwoKinds)).plan);
  CHECK_FALSE(plan::is_newer(now));
  CHECK(plan::from_record(now));
  std::string later = now.dump();
  const std::string version = "\"version\":" + std::to_string(plan::kPlanVersion);
  REQUIRE(later.find(version) != std::string::npos);
  later.replace(later.find(version), version.size(), "\"version\":" + std::to_string(plan::kPlanVersion + 1));
  const Json newer = *text::parse_json(later);
  CHECK(plan::is_newer(newer));
  CHECK_FALSE(plan::from_record(newer));
  CHECK_FALSE(plan::is_newer(*text::parse_json("{\"title\":\"x\"}")));
}

TEST_CASE("a step that names a forecast which is not there is damaged", "[plan][prepare][json]") {
  std::string text = kept(*plan::prepare(test::schedule_from(kTwoKinds)).plan).dump();
  const std::size_t at = text.find("\"forecast\":0");
  REQUIRE(at != std::string::npos);
  text.replace(at, 12, "\"forecast\":99");
  CHECK_FALSE(plan::from_record(*text::parse_json(text)));
}
