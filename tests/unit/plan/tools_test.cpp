#include <clampbook/plan/tools.h>

#include "tests/support/catch.h"
#include "tests/support/schedules.h"
#include "tests/support/tools.h"

#include <cmath>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using test::schedule_from;
using test::simple;
using test::tools_from;

struct Chosen {
  plan::Plan plan;
  schedule::ToolList tools;
  std::vector<plan::ToolChoice> choices;
  std::vector<plan::Caution> cautions;
};

Chosen choose(const std::string& schedule, const std::string& tools) {
  Chosen out{plan::make_plan(schedule_from(schedule)), tools_from(tools), {}, {}};
  out.choices = plan::choose_tools(out.plan, out.tools);
  out.cautions = plan::tool_cautions(out.plan, out.tools, out.choices);
  plan::use_tools(out.plan, out.choices);
  return out;
}

// The name of each stage's tool, "-" for none.
std::string names(const Chosen& c) {
  std::string out;
  for (const plan::ToolChoice& choice : c.choices)
    out += (choice.wrench ? choice.wrench->name : choice.gauge ? choice.gauge->name : "-") + " ";
  return out;
}

const std::string kThree =
    "torque_wrenches:\n"
    "  small: {range: 5..25 N·m, accuracy: 4 %}\n"
    "  fine: {range: 20..60 N·m, accuracy: 1 %}\n"
    "  other: {range: 20..100 N·m, accuracy: 1 %}\n";

TEST_CASE("each torque stage gets the finest wrench that can be set to it", "[plan][tools]") {
  const auto c =
      choose(simple("  - {snug: 5 N·m}\n  - {torque: 20 N·m}\n  - {torque: 25 N·m}\n  - {torque: 60 N·m}\n"
                    "  - {torque: 100 N·m}\n  - {torque: 101 N·m}\n  - {do: mark}\n  - {snug: by hand}\n"
                    "  - {loosen: 30°}\n  - {yield: 50 %}\n"),
             kThree);
  CHECK(names(c) == "small fine fine fine other - ");
}

TEST_CASE("a target at the end of a range is inside also in another unit", "[plan][tools]") {
  const auto c = choose(simple("  - {torque: 25 N·m}\n"),
                        "torque_wrenches: {a: {range: 10..18.439053731941 ft·lbf, accuracy: 4 %}}\n");
  CHECK(names(c) == "a ");
}

TEST_CASE("the wrench must reach every setting of its stage", "[plan][tools]") {
  const std::string two =
      "format: fastener schedule 1\ntitle: T\n"
      "fasteners:\n"
      "  plain: {thread: M10, strength: \"8.8\"}\n"
      "  locked: {thread: M10, strength: \"8.8\", prevailing_torque: 6 N·m}\n"
      "bolts: [{id: 1, fastener: plain}, {id: 2, fastener: locked}]\n"
      "stages: [{torque: 20 N·m}]\n";
  CHECK(names(choose(two, kThree)) == "fine ");
  // Two wrenches of which neither reaches both 20 and 26 N·m.
  const auto c = choose(two,
                        "torque_wrenches:\n  low: {range: 5..25 N·m, accuracy: 4 %}\n"
                        "  high: {range: 22..60 N·m, accuracy: 4 %}\n");
  CHECK(names(c) == "- ");
  REQUIRE(c.cautions.size() == 1);
  CHECK(c.cautions[0].slug == "tool-coarse");
  CHECK_THAT(*c.cautions[0].have, WithinRel(26, 1e-12));  // low misses it by 1 N·m, high the other by 2
  CHECK_THAT(*c.cautions[0].limit, WithinRel(25, 1e-12));
  CHECK(c.cautions[0].text.find("low 5..25 N·m") != std::string::npos);
  CHECK(c.cautions[0].text.find("high 22..60 N·m") != std::string::npos);
}

TEST_CASE("an adapter moves the setting and with it the range at the bolt", "[plan][tools]") {
  const std::string adapter =
      "torque_wrenches: {a: {range: 5..25 N·m, accuracy: 1 %, length: 260 mm, adapter: {reach: 40 mm}}}\n";
  // T L/(L + E) with L = 260 and E = 40: 28 becomes 24.2667, and 28.8462 is the most that reaches the bolt.
  const auto c = choose(simple("  - {torque: 28 N·m}\n  - {torque: 29 N·m}\n", 1), adapter);
  CHECK(names(c) == "a - ");
  CHECK_THAT(c.plan.steps[0].setting->machine_value(), WithinRel(28 * 260.0 / 300, 1e-12));
  CHECK_THAT(c.plan.steps[1].setting->machine_value(), WithinRel(29, 1e-12));
  CHECK_THAT(*c.cautions.back().have, WithinRel(29 * 260.0 / 300, 1e-12));
  CHECK_THAT(*c.cautions.back().limit, WithinRel(25, 1e-12));
  REQUIRE(c.plan.stages[0].tool);
  CHECK(c.plan.stages[0].tool->name == "a");
  CHECK(c.plan.stages[0].tool->adapter == "adapter of 40 mm, straight on, wrench of 260 mm");
  CHECK_FALSE(c.plan.stages[1].tool);
  CHECK(c.plan.steps[0].target->machine_value() == 28);  // the target itself never moves
}

TEST_CASE("an adapter at a right angle changes nothing", "[plan][tools]") {
  const auto c = choose(simple("  - {torque: 20 N·m}\n", 1),
                        "torque_wrenches: {a: {range: 5..25 N·m, accuracy: 1 %, length: 260 mm, "
                        "adapter: {reach: 40 mm, angle: 90°}}}\n");
  CHECK_THAT(c.plan.steps[0].setting->machine_value(), WithinRel(20, 1e-12));
  CHECK(c.plan.stages[0].tool->adapter == "adapter of 40 mm at 90°, wrench of 260 mm");
}

TEST_CASE("prevailing torque goes through the adapter and raises the share of error", "[plan][tools]") {
  const std::string locked =
      "format: fastener schedule 1\ntitle: T\n"
      "fasteners: {b: {thread: M10, strength: \"8.8\", prevailing_torque: 5 N·m}}\n"
      "bolts: [{id: 1}]\nstages: [{torque: 20 N·m ± 3 N·m}]\n";
  const auto c = choose(locked,
                        "torque_wrenches: {a: {range: 5..30 N·m, accuracy: 4 %, length: 300 mm, "
                        "adapter: {reach: 60 mm, angle: 60°}}}\n");
  // 25 N·m at the bolt, lever 330/300.
  CHECK_THAT(c.plan.steps[0].setting->machine_value(), WithinRel(25 / 1.1, 1e-12));
  CHECK_THAT(c.choices[0].limit, WithinRel(0.05, 1e-12));  // 4 % of 25 N·m is 1 N·m of 20
  CHECK(c.cautions.empty());                               // 1 N·m against a third of 6
}

TEST_CASE("a tool is coarse above a third of the window", "[plan][tools]") {
  const auto caution = [](const std::string& stage, const std::string& tools) {
    return choose(simple("  - " + stage + "\n", 1), tools).cautions;
  };
  const std::string four = "torque_wrenches: {a: {range: 5..50 N·m, accuracy: 4 %}}\n";
  CHECK(caution("{torque: 30 N·m ± 6 %}", four).empty());  // 1.2 N·m, and a third of 3.6
  const auto found = caution("{torque: 30 N·m ± 5.9 %}", four);
  REQUIRE(found.size() == 1);
  CHECK(found[0].slug == "tool-coarse");
  CHECK(*found[0].stage == 1);
  CHECK_FALSE(found[0].fastener);
  CHECK_THAT(*found[0].have, WithinRel(1.2, 1e-12));
  CHECK_THAT(*found[0].limit, WithinRel(30 * 0.118 / 3, 1e-9));
  const std::string dial = "angle_gauges: {dial: {accuracy: 2°}}\n";
  CHECK(caution("{angle: 60°, tolerance: 3°}", dial).empty());
  const auto angle = caution("{angle: 60°, tolerance: 2.9°}", dial);
  REQUIRE(angle.size() == 1);
  CHECK_THAT(*angle[0].have, WithinRel(2, 1e-12));
  CHECK_THAT(*angle[0].limit, WithinRel(5.8 / 3, 1e-9));
  const auto stretch = caution("{stretch: 0.17 mm ± 0.01 mm}", "length_gauges: {m: {accuracy: 0.007 mm}}\n");
  REQUIRE(stretch.size() == 1);
  CHECK_THAT(*stretch[0].have, WithinRel(0.007, 1e-12));
  CHECK_THAT(*stretch[0].limit, WithinRel(0.02 / 3, 1e-9));
}

TEST_CASE("a list without a torque wrench says nothing of torques", "[plan][tools]") {
  const auto c =
      choose(simple("  - {torque: 30 N·m}\n  - {angle: 60°}\n", 1),
             "angle_gauges:\n  coarse: {accuracy: 3°}\n  fine: {accuracy: 1°}\n  too: {accuracy: 1°}\n");
  CHECK(names(c) == "- fine ");
  CHECK(c.cautions.empty());
  const auto accuracies = plan::accuracies_of(c.choices);
  CHECK(accuracies.torque.empty());
  REQUIRE(accuracies.angle);
  CHECK_THAT(units::value_in(*accuracies.angle, units::degree), WithinRel(1, 1e-12));
  CHECK_FALSE(accuracies.stretch);
}

TEST_CASE("a recheck at the same torque takes a tool for the torque before it", "[plan][tools]") {
  const auto c = choose(simple("  - {torque: 30 N·m}\n  - {recheck: same}\n", 1), kThree);
  CHECK(names(c) == "fine fine ");
}

// Width of the final preload's interval over its nominal value.
double spread(const schedule::Schedule& schedule, const std::string& tools) {
  plan::PredictionOptions options;
  options.samples = 1024;
  if (!tools.empty()) {
    const auto list = tools_from(tools);
    options.accuracies = plan::accuracies_of(plan::choose_tools(plan::make_plan(schedule), list));
  }
  const auto predictions = plan::predict(schedule, options);
  const auto& last = *predictions.front().stages.back().preload;
  return (last.p95 - last.p5) / last.nominal;
}

TEST_CASE("a finer tool narrows the prediction and a coarser one widens it", "[plan][tools]") {
  const auto flange = test::shipped("discharge-flange.yaml");
  const auto wrench = [](const std::string& accuracy) {
    return "torque_wrenches: {a: {range: 5..100 N·m, accuracy: " + accuracy + "}}\n";
  };
  const double usual = spread(flange, "");
  CHECK(spread(flange, wrench("1 %")) < usual);
  CHECK(spread(flange, wrench("20 %")) > usual);
  CHECK_THAT(spread(flange, wrench("4 %")), WithinRel(usual, 1e-12));  // what ISO 6789 allows is assumed

  const auto stretch = schedule_from(
      "format: fastener schedule 1\ntitle: T\n"
      "fasteners: {b: {thread: M9x1, strength: \"12.9\", grip: 60 mm, shank: 40 mm, hole: 9.5 mm,\n"
      "  head: {bearing: 13.5 mm}, engagement: 12 mm}}\n"
      "joint: {layers: [{material: steel, thickness: 60 mm, outer: 20 mm}], into: {material: steel, thread: "
      "tapped}}\n"
      "lubricant: {used: engine oil}\nbolts: [{id: 1}]\nstages: [{stretch: 0.15 mm}]\n");
  CHECK(spread(stretch, "length_gauges: {m: {accuracy: 0.001 mm}}\n") < spread(stretch, ""));
  CHECK(spread(stretch, "length_gauges: {m: {accuracy: 0.05 mm}}\n") > spread(stretch, ""));
}

}  // namespace
