#include <clampbook/joint/wrench.h>
#include <clampbook/plan/tools.h>
#include <clampbook/plan/window.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace clampbook::plan {

using joint::Torque;
using schedule::Gauge;
using schedule::ToolList;
using schedule::TorqueWrench;
using units::Dimension;
using units::to;
using units::value_in;

namespace {

constexpr double kCoarseShare = 1.0 / 3;  // of the window (common practice)
constexpr double kSlack = 1e-9;           // a conversion never fails a bound

enum class Measures { nothing, torque, angle, stretch };

Measures measures(const Step& step) {
  if (!step.target || !step.low || !step.high) return Measures::nothing;
  if (step.target->dimension() == Dimension::torque) return Measures::torque;
  if (step.kind == StageKind::angle) return Measures::angle;
  return step.kind == StageKind::stretch ? Measures::stretch : Measures::nothing;
}

/// The steps of one stage, all of which measure the same.
struct StageSteps {
  const PlanStage* stage;
  Measures measured;
  std::vector<const Step*> steps;
};

std::vector<StageSteps> stages_of(const Plan& plan) {
  std::vector<StageSteps> out;
  for (const PlanStage& stage : plan.stages) {
    StageSteps group{&stage, Measures::nothing, {}};
    for (const Step& step : plan.steps)
      if (step.stage == stage.stage && measures(step) != Measures::nothing) group.steps.push_back(&step);
    if (group.steps.empty()) continue;
    group.measured = measures(*group.steps.front());
    out.push_back(std::move(group));
  }
  return out;
}

// What must reach the bolt: what clamps, and what turns a lock nut.
Torque at_the_bolt(const Step& step) {
  const Torque target = to<Torque>(*step.target);
  return step.prevailing ? target + to<Torque>(*step.prevailing) : target;
}

bool can_be_set(const TorqueWrench& wrench, const Step& step) {
  const Torque setting = setting_of(wrench, at_the_bolt(step));
  return inside({value_in(setting, units::newton_metre), units::newton_metre_unit()}, wrench.range.low,
                wrench.range.high);
}

const Gauge* finest(const std::vector<Gauge>& gauges) {
  const auto found = std::min_element(gauges.begin(), gauges.end(), [](const Gauge& a, const Gauge& b) {
    return a.accuracy.si() < b.accuracy.si();
  });
  return found == gauges.end() ? nullptr : &*found;
}

ToolChoice choose_wrench(const StageSteps& group, const ToolList& tools) {
  ToolChoice choice{group.stage->stage};
  for (const TorqueWrench& wrench : tools.torque_wrenches) {
    const bool fits = std::all_of(group.steps.begin(), group.steps.end(),
                                  [&](const Step* step) { return can_be_set(wrench, *step); });
    if (fits && (!choice.wrench || wrench.accuracy.si() < choice.wrench->accuracy.si()))
      choice.wrench = wrench;
  }
  if (!choice.wrench) return choice;
  for (const Step* step : group.steps) {
    const double raised = at_the_bolt(*step) / to<Torque>(*step->target);
    choice.limit = std::max(choice.limit, choice.wrench->accuracy.si() * raised);
  }
  return choice;
}

std::string adapter_text(const TorqueWrench& wrench) {
  if (!wrench.adapter) return {};
  const schedule::ToolAdapter& adapter = *wrench.adapter;
  const std::string direction =
      adapter.angle.si() == 0 ? ", straight on" : fmt::format(" at {}", units::format(adapter.angle));
  return fmt::format("adapter of {}{}, wrench of {}", units::format(adapter.reach), direction,
                     units::format(*wrench.length));
}

std::string range_text(const TorqueWrench& wrench) {
  return units::format_range(wrench.range.low, wrench.range.high, wrench.range.high.unit());
}

std::string place(const StageSteps& group) {
  return fmt::format("stage {} ({})", group.stage->stage, group.stage->text);
}

// The step whose window leaves the least room for the tool's error.
Caution coarse(const StageSteps& group, const std::string& tool, const std::vector<double>& errors,
               std::size_t worst) {
  const Step& step = *group.steps[worst];
  const units::Unit& unit = step.target->unit();
  const units::Unit& machine = units::machine_unit(unit.dimension);
  const double width = step.high->in(machine)-step.low->in(machine);
  Caution out{"tool-coarse"};
  out.stage = group.stage->stage;
  out.have = errors[worst];
  out.limit = kCoarseShare * width;
  out.text = fmt::format("{}: {} may be off by {}, more than a third of the window {} (common practice)",
                         place(group), tool,
                         units::format(units::Measured(errors[worst], machine).converted_to(unit)),
                         units::format_range(*step.low, *step.high, unit));
  return out;
}

std::optional<Caution> find_coarse(const StageSteps& group, const ToolChoice& choice) {
  std::vector<double> errors;
  std::size_t worst = 0;
  double worst_ratio = 0;
  for (const Step* step : group.steps) {
    const units::Unit& machine = units::machine_unit(step->target->dimension());
    errors.push_back(choice.wrench
                         ? choice.wrench->accuracy.si() * value_in(at_the_bolt(*step), units::newton_metre)
                         : choice.gauge->accuracy.in(machine));
    const double limit = kCoarseShare * (step->high->in(machine)-step->low->in(machine));
    const double ratio = limit > 0 ? errors.back() / limit : std::numeric_limits<double>::infinity();
    if (ratio <= worst_ratio) continue;
    worst_ratio = ratio;
    worst = errors.size() - 1;
  }
  if (worst_ratio <= 1 + kSlack) return std::nullopt;
  return coarse(group, choice.wrench ? choice.wrench->name : choice.gauge->name, errors, worst);
}

// No wrench can be set to every figure of the stage: the wrench that misses least, and by what.
Caution none_fits(const StageSteps& group, const ToolList& tools) {
  Caution out{"tool-coarse"};
  out.stage = group.stage->stage;
  double nearest = std::numeric_limits<double>::infinity();
  std::string ranges;
  for (const TorqueWrench& wrench : tools.torque_wrenches) {
    ranges += fmt::format("{}{} {}", ranges.empty() ? "" : ", ", wrench.name, range_text(wrench));
    double missed = 0, have = 0, limit = 0;
    for (const Step* step : group.steps) {
      const double setting = value_in(setting_of(wrench, at_the_bolt(*step)), units::newton_metre);
      for (const double end : {wrench.range.low.si(), wrench.range.high.si()}) {
        const double by = end == wrench.range.low.si() ? end - setting : setting - end;
        if (by <= missed) continue;
        missed = by;
        have = setting;
        limit = end;
      }
    }
    if (missed >= nearest) continue;
    nearest = missed;
    out.have = have;
    out.limit = limit;
  }
  out.text = fmt::format("{}: no torque wrench of the list can be set to it; the ranges are {}", place(group),
                         ranges);
  return out;
}

}  // namespace

Torque setting_of(const TorqueWrench& wrench, Torque at_the_bolt) {
  if (!wrench.adapter) return at_the_bolt;
  const joint::Adapter adapter{to<joint::Length>(wrench.adapter->reach),
                               to<joint::Angle>(wrench.adapter->angle)};
  return joint::wrench_setting(at_the_bolt, to<joint::Length>(*wrench.length), adapter);
}

std::vector<ToolChoice> choose_tools(const Plan& plan, const ToolList& tools) {
  std::vector<ToolChoice> out;
  for (const StageSteps& group : stages_of(plan)) {
    if (group.measured == Measures::torque) {
      out.push_back(choose_wrench(group, tools));
      continue;
    }
    ToolChoice choice{group.stage->stage};
    const Gauge* gauge = finest(group.measured == Measures::angle ? tools.angle_gauges : tools.length_gauges);
    if (gauge != nullptr) {
      choice.gauge = *gauge;
      choice.limit = gauge->accuracy.si();
    }
    out.push_back(std::move(choice));
  }
  return out;
}

Accuracies accuracies_of(const std::vector<ToolChoice>& choices) {
  Accuracies out;
  for (const ToolChoice& choice : choices) {
    if (choice.wrench) out.torque.emplace_back(choice.stage, choice.limit);
    if (!choice.gauge) continue;
    if (choice.gauge->accuracy.dimension() == Dimension::angle) {
      out.angle = to<joint::Angle>(choice.gauge->accuracy);
    } else {
      out.stretch = to<joint::Length>(choice.gauge->accuracy);
    }
  }
  return out;
}

StageTool stage_tool(const TorqueWrench& wrench) {
  return {wrench.name,
          fmt::format("{}, {}, off by at most {}", wrench.name, range_text(wrench),
                      units::format(wrench.accuracy, units::percent_unit())),
          adapter_text(wrench)};
}

void use_tools(Plan& plan, const std::vector<ToolChoice>& choices) {
  for (const ToolChoice& choice : choices) {
    const auto stage = std::find_if(plan.stages.begin(), plan.stages.end(),
                                    [&](const PlanStage& s) { return s.stage == choice.stage; });
    if (stage == plan.stages.end() || (!choice.wrench && !choice.gauge)) continue;
    if (choice.gauge) {
      stage->tool = StageTool{choice.gauge->name, fmt::format("{}, off by at most {}", choice.gauge->name,
                                                              units::format(choice.gauge->accuracy))};
      continue;
    }
    const TorqueWrench& wrench = *choice.wrench;
    stage->tool = stage_tool(wrench);
    for (Step& step : plan.steps) {
      if (step.stage != choice.stage || measures(step) != Measures::torque) continue;
      const Torque setting = setting_of(wrench, at_the_bolt(step));
      step.setting = units::Measured(value_in(setting, units::newton_metre), units::newton_metre_unit())
                         .converted_to(wrench.unit != nullptr ? *wrench.unit : step.target->unit());
    }
  }
}

std::vector<Caution> tool_cautions(const Plan& plan, const ToolList& tools,
                                   const std::vector<ToolChoice>& choices) {
  std::vector<Caution> out;
  for (const StageSteps& group : stages_of(plan)) {
    const auto choice = std::find_if(choices.begin(), choices.end(),
                                     [&](const ToolChoice& c) { return c.stage == group.stage->stage; });
    if (choice == choices.end()) continue;
    if (choice->wrench || choice->gauge) {
      if (auto caution = find_coarse(group, *choice)) out.push_back(std::move(*caution));
    } else if (group.measured == Measures::torque && !tools.torque_wrenches.empty()) {
      out.push_back(none_fits(group, tools));
    }
  }
  return out;
}

}  // namespace clampbook::plan
