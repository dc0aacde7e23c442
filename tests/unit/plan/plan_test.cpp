#include "tests/support/catch.h"
#include "tests/support/schedules.h"

#include <clampbook/plan/cautions.h>
#include <clampbook/plan/plan.h>
#include <clampbook/plan/plan_json.h>

#include <algorithm>
#include <array>
#include <map>
#include <set>

using namespace clampbook;
using plan::make_plan;
using test::schedule_from;
using test::simple;

namespace {

std::vector<std::string> cautions(const std::string& text) {
  std::vector<std::string> out;
  for (const auto& c : plan::file_cautions(schedule_from(text))) out.push_back(c.slug);
  return out;
}

plan::Plan plan_of(const std::string& text) {
  return make_plan(schedule_from(text));
}

}  // namespace

TEST_CASE("assumed tolerances depend on the kind and the size of the figure", "[plan]") {
  const auto p =
      plan_of(simple("  - {snug: 8 N·m}\n  - {torque: 10 N·m}\n  - {torque: 10.1 N·m}\n  - {angle: 60°}\n  - "
                     "{stretch: 0.2 mm}\n",
                     1));
  const auto window = [&](std::size_t i) {
    return std::pair(p.steps[i].low->machine_value(), p.steps[i].high->machine_value());
  };
  REQUIRE_THAT(window(0).first, WithinRel(7.2, 1e-12));
  REQUIRE_THAT(window(1).first, WithinRel(9.4, 1e-12));
  REQUIRE_THAT(window(1).second, WithinRel(10.6, 1e-12));
  REQUIRE_THAT(window(2).first, WithinRel(10.1 * 0.96, 1e-12));
  REQUIRE_THAT(window(3).first, WithinRel(55, 1e-12));
  REQUIRE_THAT(window(4).second, WithinRel(0.21, 1e-12));
  for (const auto& step : p.steps) REQUIRE(step.assumed);
}

TEST_CASE("a written tolerance wins", "[plan]") {
  const auto p =
      plan_of(simple("  - {torque: 50 N·m, tolerance: 10 %}\n  - {torque: 50 N·m ± 1 N·m}\n  - {torque: "
                     "45..55 N·m}\n  - {torque: 50 N·m, tolerance: +2 N·m -0 N·m}\n",
                     1));
  REQUIRE_THAT(p.steps[0].low->si(), WithinRel(45, 1e-12));
  REQUIRE_THAT(p.steps[1].high->si(), WithinRel(51, 1e-12));
  REQUIRE_THAT(p.steps[2].target->si(), WithinRel(50, 1e-12));
  REQUIRE_THAT(p.steps[3].low->si(), WithinRel(50, 1e-12));
  REQUIRE_THAT(p.steps[3].high->si(), WithinRel(52, 1e-12));
  for (const auto& step : p.steps) REQUIRE_FALSE(step.assumed);
}

TEST_CASE("the prevailing torque is added to the setting and not to the window", "[plan]") {
  const auto p = plan_of(
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\", "
      "prevailing_torque: 2 N·m}}\nbolts: [{id: 1}]\n"
      "stages: [{torque: 30 N·m}, {angle: 60°}]\n");
  REQUIRE(p.steps[0].setting->si() == 32);
  REQUIRE_THAT(p.steps[0].high->si(), WithinRel(31.2, 1e-12));
  REQUIRE_FALSE(p.steps[1].setting);
}

TEST_CASE("groups are finished one after the other", "[plan]") {
  const auto p = make_plan(test::shipped("connecting-rods.yaml"));
  std::vector<std::string> seen;
  for (const auto& step : p.steps)
    if (step.bolt) seen.push_back(*step.bolt + "/" + std::to_string(step.stage));
  REQUIRE(seen == std::vector<std::string>{"1A/3", "1B/3", "1A/4", "1B/4", "2A/3", "2B/3", "2A/4", "2B/4"});
  REQUIRE(p.steps.front().label == "cap 1");
  REQUIRE(p.steps.back().label == "cap 2");
}

TEST_CASE("gates between the stages of grouped bolts are repeated for each group", "[plan]") {
  const auto p = plan_of(
      "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\nby: group\n"
      "bolts: [{id: 1, group: a}, {id: 2, group: b}]\nstages: [{do: clean}, {torque: 20 N·m}, {wait: 5 min}, "
      "{do: mark, each: bolts}, {angle: 60°}, {do: close}]\n");
  std::vector<std::string> seen;
  for (const auto& step : p.steps)
    seen.push_back(std::to_string(step.stage) + (step.bolt ? *step.bolt : step.label.value_or("")));
  REQUIRE(seen == std::vector<std::string>{"1", "21", "3a", "41", "51", "22", "3b", "42", "52", "6"});
}

TEST_CASE("a gate for bolts that are not on yet is left out", "[plan]") {
  const auto labels = [](const std::vector<std::size_t>& only) {
    std::vector<std::string> out;
    for (const auto& step : make_plan(test::shipped("bearing-housing.yaml"), only).steps)
      if (step.label) out.push_back(*step.label);
    return out;
  };
  REQUIRE(labels({0, 2}) == std::vector<std::string>{"1", "3"});
  REQUIRE(labels({5}) == std::vector<std::string>{"C2"});
  REQUIRE(labels({}) == std::vector<std::string>{"1", "2", "3", "4", "C1", "C2"});
  // The name of a group stands for its bolts; any other label is for all.
  std::vector<std::string> seen;
  for (const auto& step : make_plan(test::shipped("connecting-rods.yaml"), {3}).steps)
    if (step.label) seen.push_back(*step.label);
  REQUIRE(seen == std::vector<std::string>{"cap 2", "2B", "cap 2"});
}

TEST_CASE("a gate in the run of a group waits with the bolts of that group", "[plan]") {
  const auto schedule = test::schedule_from(R"(format: fastener schedule 1
title: T
fasteners: {b: {thread: M8, strength: "8.8"}}
bolts: [{id: 1, group: left}, {id: 2, group: right}]
by: group
stages: [{do: first}, {torque: 10 N·m}, {wait: 1 min}, {torque: 20 N·m}, {do: last}]
)");
  const auto steps = [&](const std::vector<std::size_t>& only) {
    std::vector<int> out;
    for (const auto& step : make_plan(schedule, only).steps) out.push_back(step.step);
    return out;
  };
  REQUIRE(steps({}) == std::vector<int>{1, 2, 3, 4, 5, 6, 7, 8});
  REQUIRE(steps({0}) == std::vector<int>{1, 2, 3, 4, 8});
  REQUIRE(steps({1}) == std::vector<int>{1, 5, 6, 7, 8});
}

TEST_CASE("interleaved groups keep the order of the file and each its own rule", "[plan]") {
  const auto p = plan_of(R"(format: fastener schedule 1
title: T
fasteners: {b: {thread: M10, strength: "8.8"}}
bolts: [{id: 1, group: in}, {id: 2, group: in}, {id: 3, group: out}, {id: 4, group: out}]
order: [4, 3, 2, 1]
stages: [{torque: 24 N·m, bolts: in}, {torque: 13 N·m, bolts: out}, {angle: 70°, bolts: in, order: [1, 2]}, {angle: 95°, bolts: out, order: reverse}]
)");
  std::string seen;
  for (const auto& step : p.steps) seen += *step.bolt;
  REQUIRE(seen == "21431234");
}

TEST_CASE("leaving bolts out keeps the numbers of the full plan", "[plan]") {
  const auto s =
      schedule_from(simple("  - {do: clean}\n  - {torque: 30 N·m}\n  - {do: mark, each: bolts}\n"));
  const auto p = make_plan(s, {1});
  std::vector<int> numbers;
  for (const auto& step : p.steps) numbers.push_back(step.step);
  REQUIRE(numbers == std::vector<int>{1, 3, 6});
  REQUIRE(p.order.size() == 3);
}

TEST_CASE("a recheck takes the torque of the last torque stage before it", "[plan]") {
  const auto p = plan_of(simple(
      "  - {torque: 30 N·m}\n  - {torque: 50 N·m ± 2 %}\n  - {recheck: same}\n  - {recheck: 20 N·m}\n", 1));
  REQUIRE(p.steps[2].target->si() == 50);
  REQUIRE_THAT(p.steps[2].high->si(), WithinRel(51, 1e-12));
  REQUIRE(p.steps[3].target->si() == 20);
}

TEST_CASE("cautions that need no numbers appear where they belong and nowhere else", "[plan][cautions]") {
  REQUIRE(cautions(simple("  - {torque: 30 N·m}\n")).empty());
  const auto with = [](const std::string& fastener, const std::string& rest, const std::string& stage) {
    return cautions(
        "format: fastener schedule 1\ntitle: T\nsources: {a: {text: x, standing: hearsay}, m: {text: y, "
        "standing: maker}}\nfasteners: {b: {thread: M10, strength: \"8.8\"" +
        fastener + "}}\nbolts: [{id: 1}]\n" + rest + "stages: [{torque: 30 N·m" + stage + "}]\n");
  };
  using Slugs = std::vector<std::string>;
  REQUIRE(with("", "", ", source: a") == Slugs{"hearsay-only"});
  REQUIRE(with("", "", ", source: [a, m]").empty());
  REQUIRE(with("", "", ", says: {a: 30 N·m, m: 34 N·m}") == Slugs{"sources-disagree"});
  REQUIRE(with("", "", ", says: {a: 30 N·m, m: 30.5 N·m}").empty());
  REQUIRE(with("", "", ", written_for: {strength: \"10.9\"}") == Slugs{"fastener-differs"});
  REQUIRE(with("", "", ", written_for: {strength: \"8.8\"}").empty());
  REQUIRE(with("", "lubricant: {stated: engine oil, used: moly paste}\n", "") == Slugs{"lubricant-differs"});
  REQUIRE(with("", "lubricant: {stated: engine oil, used: engine oil}\n", "").empty());
  REQUIRE(with("", "lubricant: {used: moly paste}\n", ", written_for: {lubricant: engine oil}") ==
          Slugs{"lubricant-differs"});
  REQUIRE(with(", reuse: never", "", "") == Slugs{"single-use"});
  REQUIRE(with(", treated: replated", "", "") == Slugs{"history-unknown"});
  REQUIRE(with(", length: 60 mm, grip: 40 mm, hole_depth: 20 mm", "", "") == Slugs{"bottoms"});
  REQUIRE(with(", length: 59 mm, grip: 40 mm, hole_depth: 20 mm", "", "").empty());
}

TEST_CASE("what the book keeps of a plan comes back the same", "[plan][json]") {
  for (const char* name :
       {"split-crankcase.yaml", "connecting-rods.yaml", "discharge-flange.yaml", "bearing-housing.yaml"}) {
    const auto p = make_plan(test::shipped(name));
    const auto back = plan::from_record(*text::parse_json(plan::to_record(p).dump()));
    REQUIRE(back);
    REQUIRE(back->bolts.size() == p.bolts.size());
    REQUIRE(back->order == p.order);
    REQUIRE(back->steps.size() == p.steps.size());
    for (std::size_t i = 0; i < p.steps.size(); ++i) {
      INFO(name << " step " << i + 1);
      REQUIRE(plan::to_json(back->steps[i]).dump() == plan::to_json(p.steps[i]).dump());
      if (p.steps[i].target) REQUIRE(&back->steps[i].target->unit() == &p.steps[i].target->unit());
    }
  }
  REQUIRE_FALSE(plan::from_record(*text::parse_json("{\"title\":\"x\"}")));
}

TEST_CASE("a kept plan with a member that is none of its kind is damaged", "[plan][json]") {
  const std::string kept = plan::to_record(make_plan(test::shipped("bearing-housing.yaml"))).dump();
  const std::vector<std::pair<std::string, std::string>> changes{
      {R"("order":[)", R"("order":[7,)"},
      {R"("order":[)", R"("orders":[)"},
      {R"("step":3)", R"("step":-3)"},
      {R"("step":3)", R"("step":"3")"},
      {R"("kind":"torque")", R"("kind":"twist")"},
      {R"("kind":"torque")", R"("kind":2)"},
      {R"("kind":"torque","bolt":"1")", R"("kind":"angle","bolt":"1")"},
      {R"("kind":"torque","bolt":"1")", R"("kind":"torque","bolt":null)"},
      {R"("kind":"torque","bolt":"1")", R"("kind":"wait","bolt":"1")"},
      {R"("bolts":[)", R"("bolts":{},"b":[)"},
      {R"("label":null)", R"("label":3)"},
      {R"("assumed":true)", R"("assume":true)"}};
  for (const auto& [from, to] : changes) {
    INFO(from << " gives way to " << to);
    std::string changed = kept;
    const std::size_t at = changed.find(from);
    REQUIRE(at != std::string::npos);
    changed.replace(at, from.size(), to);
    REQUIRE_FALSE(plan::from_record(*text::parse_json(changed)));
  }
}

TEST_CASE("a kept plan in which two steps have one number is damaged", "[plan][json]") {
  auto p = make_plan(test::shipped("bearing-housing.yaml"));
  p.steps[3].step = p.steps[2].step;
  REQUIRE_FALSE(plan::from_record(*text::parse_json(plan::to_record(p).dump())));
}

TEST_CASE("every plan covers each bolt once a stage and every window holds its target", "[plan][property]") {
  std::uint64_t state = 42;
  const auto next = [&state](std::uint64_t below) {  // splitmix64
    std::uint64_t z = (state += 0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
    return (z ^ (z >> 31)) % below;
  };
  for (int round = 0; round < 200; ++round) {
    const auto n = 1 + next(30);
    std::string text =
        "format: fastener schedule 1\ntitle: T\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\nbolts:\n";
    for (std::uint64_t i = 0; i < n; ++i)
      text += "  - {id: " + std::to_string(i) + ", at: [" + std::to_string(next(200)) + " mm, " +
              std::to_string(next(100)) + " mm], group: g" + std::to_string(next(3)) + "}\n";
    text += "order: " + std::string(std::array{"centre_out", "star", "circle", "listed"}[next(4)]) + "\n";
    if (next(2) == 0) text += "by: group\n";
    text +=
        "stages: [{snug: 8 N·m}, {torque: 20 ft-lb +1 -2, order: reverse}, {do: mark, each: bolts}, {angle: "
        "60°, order: star}, {torque: 20..30 N·m}]\n";
    const auto p = plan_of(text);
    std::map<int, std::multiset<std::string>> by_stage;
    int last = 0;
    for (const auto& step : p.steps) {
      REQUIRE(step.step == ++last);
      by_stage[step.stage].insert(step.bolt ? *step.bolt : *step.label);
      if (!step.target) continue;
      REQUIRE(step.low->si() <= step.target->si());
      REQUIRE(step.target->si() <= step.high->si());
    }
    REQUIRE(by_stage.size() == 5);
    for (const auto& [stage, bolts] : by_stage) {
      REQUIRE(bolts.size() == n);
      REQUIRE(std::set<std::string>(bolts.begin(), bolts.end()).size() == n);
    }
  }
}
