#include <clampbook/plan/cautions.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <set>
#include <string>
#include <unordered_set>

namespace clampbook::plan {

using schedule::Schedule;
using schedule::ToolList;

namespace {

// What of a schedule's cautions is said of a plan for some of its bolts: what those bolts are, and what is
// done to them.
class Concern {
 public:
  Concern(const Schedule& schedule, const Plan& plan, std::span<const std::size_t> only) {
    for (const std::size_t bolt : only) {
      ids_.insert(schedule.bolts[bolt].id);
      fasteners_.insert(schedule.fasteners[schedule.bolts[bolt].fastener].name);
    }
    for (const Step& step : plan.steps) stages_.insert(step.stage);
  }

  std::vector<FastenerPrediction> of(const std::vector<FastenerPrediction>& predictions) {
    std::vector<FastenerPrediction> out;
    for (const FastenerPrediction& p : predictions) {
      if (std::none_of(p.bolts.begin(), p.bolts.end(),
                       [&](const std::string& b) { return ids_.contains(b); }))
        continue;
      fasteners_.insert(p.name);
      out.push_back(p);
    }
    return out;
  }

  [[nodiscard]] bool has(const Caution& caution) const {
    return (!caution.fastener || fasteners_.contains(*caution.fastener)) &&
           (!caution.stage || stages_.contains(*caution.stage));
  }

 private:
  std::unordered_set<std::string> ids_{};
  std::set<std::string> fasteners_{};
  std::set<int> stages_{};
};

struct Planned {
  Plan plan;
  std::vector<ToolChoice> tools{};
};

Planned plan_with_tools(const Schedule& schedule, std::span<const std::size_t> only, const ToolList* tools) {
  const std::vector<std::size_t> chosen(only.begin(), only.end());
  Planned out{make_plan(schedule, chosen)};
  if (tools == nullptr) return out;
  out.tools = choose_tools(chosen.empty() ? out.plan : make_plan(schedule), *tools);
  use_tools(out.plan, out.tools);
  return out;
}

// Of the schedule's own cautions those that concern the plan, and what there is to say of its tools.
void caution(Plan& plan, std::vector<Caution> found, const ToolList* tools,
             const std::vector<ToolChoice>& choices) {
  plan.cautions = std::move(found);
  if (tools == nullptr) return;
  for (Caution& caution : tool_cautions(plan, *tools, choices)) plan.cautions.push_back(std::move(caution));
}

void count_from_the_first_turn(Plan& plan) {
  std::unordered_set<std::string> turned;
  for (Step& step : plan.steps) {
    if (!step.bolt) continue;
    if (schedule::row(step.kind).turns_on) turned.insert(*step.bolt);
    step.may_yield = turned.contains(*step.bolt);
  }
}

}  // namespace

Prepared prepare(const Schedule& schedule, std::span<const std::size_t> only, const ToolList* tools,
                 std::size_t samples) {
  Planned planned = plan_with_tools(schedule, only, tools);
  Prepared out;
  out.options = {samples, accuracies_of(planned.tools)};
  out.predictions = predict(schedule, out.options);
  mark_yielding_steps(planned.plan, out.predictions);
  std::vector<Caution> found;
  if (only.empty()) {
    found = find_cautions(schedule, out.predictions);
  } else {
    Concern concern(schedule, planned.plan, only);
    found = find_cautions(schedule, concern.of(out.predictions));
    std::erase_if(found, [&](const Caution& c) { return !concern.has(c); });
  }
  caution(planned.plan, std::move(found), tools, planned.tools);
  out.plan = std::make_shared<const Plan>(std::move(planned.plan));
  out.tools = std::move(planned.tools);
  return out;
}

Prepared prepare_kept(const Schedule& schedule, std::span<const std::size_t> only, const ToolList* tools) {
  try {
    return prepare(schedule, only, tools);
  } catch (const InputError&) {
    Planned planned = plan_with_tools(schedule, only, tools);
    count_from_the_first_turn(planned.plan);
    std::vector<Caution> found = file_cautions(schedule);
    if (!only.empty()) {
      const Concern concern(schedule, planned.plan, only);
      std::erase_if(found, [&](const Caution& c) { return !concern.has(c); });
    }
    caution(planned.plan, std::move(found), tools, planned.tools);
    Prepared out;
    out.options.accuracies = accuracies_of(planned.tools);
    out.plan = std::make_shared<const Plan>(std::move(planned.plan));
    out.tools = std::move(planned.tools);
    return out;
  }
}

std::size_t count_steps(const Schedule& schedule, std::span<const std::size_t> only) {
  return make_plan(schedule, {only.begin(), only.end()}).steps.size();
}

}  // namespace clampbook::plan
