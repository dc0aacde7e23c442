#include <clampbook/joint/wrench.h>
#include <clampbook/plan/tightening_case.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace clampbook::plan {

using joint::Angle;
using joint::Length;
using joint::TighteningModel;
using joint::Torque;
using schedule::Schedule;
using schedule::Stage;
using units::to;

std::vector<TighteningCase> tightening_cases(const Schedule& schedule) {
  // By fastener: the sets of stages that its bolts go through, each with the groups and bolts that do.
  struct Members {
    std::vector<std::string> groups, bolts;
  };
  std::vector<std::vector<int>> through(schedule.bolts.size());
  for (const Stage& stage : schedule.stages)
    for (const std::size_t bolt : stage.bolts) through[bolt].push_back(stage.number);
  std::vector<std::map<std::vector<int>, Members>> by_stages(schedule.fasteners.size());
  for (std::size_t i = 0; i < schedule.bolts.size(); ++i) {
    const schedule::Bolt& bolt = schedule.bolts[i];
    Members& members = by_stages[bolt.fastener][through[i]];
    if (std::find(members.groups.begin(), members.groups.end(), bolt.group) == members.groups.end())
      members.groups.push_back(bolt.group);
    members.bolts.push_back(bolt.id);
  }
  std::vector<TighteningCase> out;
  for (std::size_t f = 0; f < schedule.fasteners.size(); ++f) {
    for (const auto& [numbers, members] : by_stages[f]) {
      TighteningCase c{schedule.fasteners[f].name, f, members.bolts};
      if (by_stages[f].size() > 1) {
        const bool grouped = members.groups.size() == 1 && !members.groups.front().empty();
        c.name += "/" + (grouped ? members.groups.front() : fmt::format("{}", fmt::join(members.bolts, ",")));
      }
      for (const Stage& stage : schedule.stages)
        if (std::find(numbers.begin(), numbers.end(), stage.number) != numbers.end())
          c.stages.push_back(&stage);
      out.push_back(std::move(c));
    }
  }
  return out;
}

namespace {

// The last torque stage of the same bolts before this one.
const Stage* torque_before(const TighteningCase& tightening, const Stage& stage) {
  const Stage* last = nullptr;
  for (const Stage* earlier : tightening.stages) {
    if (earlier == &stage) break;
    if (earlier->kind == StageKind::torque) last = earlier;
  }
  return last;
}

double wrench_limit(const Stage& stage, const Torque& torque, const Accuracies& accuracies) {
  for (const auto& [number, limit] : accuracies.torque)
    if (number == stage.number) return limit;
  return joint::permissible_deviation(torque);
}

// The larger half of the window around the target, in SI units.
double half_window(const Stage& stage) {
  const Measured& nominal = stage.target->nominal;
  if (stage.target->low)
    return std::max(nominal.si() - stage.target->low->si(), stage.target->high->si() - nominal.si());
  const auto tolerance = stage.tolerance ? stage.tolerance : assumed_tolerance(stage.kind, nominal);
  const schedule::Window window = schedule::window_of(nominal, *tolerance);
  return std::max(nominal.si() - window.low.si(), window.high.si() - nominal.si());
}

}  // namespace

std::vector<StageAction> actions_of(const TighteningCase& tightening, const Accuracies& accuracies) {
  std::vector<StageAction> out;
  for (const Stage* stage : tightening.stages) {
    StageAction action{stage};
    const Stage* figure = stage->same_torque ? torque_before(tightening, *stage) : stage;
    switch (stage->kind) {
      case StageKind::snug:
      case StageKind::torque:
      case StageKind::recheck:
        if (figure != nullptr && figure->target) {
          action.torque = to<Torque>(figure->target->nominal);
          action.limit = wrench_limit(*stage, *action.torque, accuracies);
        }
        break;
      case StageKind::angle:
        action.angle = to<Angle>(stage->target->nominal);
        action.limit =
            accuracies.angle ? units::value_in(*accuracies.angle, units::radian) : half_window(*stage);
        break;
      case StageKind::stretch:
        action.stretch = to<Length>(stage->target->nominal);
        action.limit =
            accuracies.stretch ? units::value_in(*accuracies.stretch, units::metre) : half_window(*stage);
        break;
      case StageKind::yield:
        action.yield_share = stage->yield_share;
        break;
      case StageKind::loosen:
        action.loosen = true;
        if (stage->target) action.angle = to<Angle>(stage->target->nominal);
        break;
      default:
        break;
    }
    out.push_back(action);
  }
  return out;
}

WalkState walk(const TighteningModel& model, const StageAction& action, WalkState from, double torque_factor,
               double travel, bool has_joint) {
  if (from.state.broken) return from;
  if (action.loosen) {
    if (!action.angle) return {model.loosen(from.state), true};
    if (!has_joint) return {from.state, false};
    return {model.loosen(from.state, *action.angle), from.known};
  }
  if (action.torque) {
    // A torque that is higher than all before sets the preload, whatever came before it; else it does
    // nothing.
    const joint::TighteningState reached = model.torque(from.state, *action.torque * torque_factor);
    return {reached, from.known};
  }
  if (action.yield_share) {
    const auto reached = model.yield_controlled(from.state, *action.yield_share);
    return reached && has_joint ? WalkState{*reached, from.known} : WalkState{from.state, false};
  }
  if (!has_joint) return {from.state, false};
  if (action.angle) {
    const Angle angle = *action.angle + units::of(travel, units::radian);
    return {model.angle(from.state, std::max(angle, Angle())), from.known};
  }
  if (action.stretch) {
    const Length stretch = *action.stretch + units::of(travel, units::metre);
    return {model.stretch(from.state, std::max(stretch, Length())), from.known};
  }
  return {from.state, true};  // snug by hand: the little that it clamps is left out
}

}  // namespace clampbook::plan
