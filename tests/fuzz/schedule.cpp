// A schedule is refused with its places, or read into what its plan can rely on.
#include "tests/fuzz/fuzz.h"

#include <clampbook/plan/cautions.h>
#include <clampbook/plan/plan.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/schedule/read_schedule.h>

#include <algorithm>
#include <map>
#include <set>

using namespace clampbook;

namespace {

void check_window(const plan::Step& step) {
  if (!step.target && !step.low && !step.high) return;
  // Comparing allows one part in 1e9 everywhere: a conversion never fails a bound.
  const auto above = [](const units::Measured& a, const units::Measured& b) {
    return a.si() > b.si() + 1e-9 * std::max(std::abs(a.si()), std::abs(b.si()));
  };
  if (step.low && step.high) fuzz::require(!above(*step.low, *step.high), "low <= high", step.text);
  if (step.low && step.target) fuzz::require(!above(*step.low, *step.target), "low <= target", step.text);
  if (step.target && step.high) fuzz::require(!above(*step.target, *step.high), "target <= high", step.text);
  if (!step.is_gate() && step.low)
    fuzz::require(step.low->number() >= 0, "a window of a bolt starts at zero");
}

void check_steps(const schedule::Schedule& schedule, const plan::Plan& plan) {
  std::set<std::string> ids;
  for (const schedule::Bolt& bolt : schedule.bolts) fuzz::require(ids.insert(bolt.id).second, "ids differ");
  std::map<int, std::set<std::string>> turned;
  int number = 0;
  for (const plan::Step& step : plan.steps) {
    fuzz::require(step.step == ++number, "step numbers count from 1");
    fuzz::require(step.stage >= 1 && step.stage <= static_cast<int>(schedule.stages.size()), "stages exist");
    fuzz::require(!step.text.empty(), "a step says what to do");
    fuzz::require(step.bolt.has_value() != step.is_gate(), "a step is a gate or has a bolt");
    if (step.bolt) {
      fuzz::require(ids.count(*step.bolt) == 1, "the bolts of steps exist", *step.bolt);
      fuzz::require(turned[step.stage].insert(*step.bolt).second, "a stage turns a bolt once", *step.bolt);
    }
    check_window(step);
  }
  for (const schedule::Stage& stage : schedule.stages)
    if (!schedule::is_gate(stage.kind))
      fuzz::require(turned[stage.number].size() == stage.bolts.size(), "a stage turns all of its bolts");
  std::set<std::string> ordered(plan.order.begin(), plan.order.end());
  fuzz::require(plan.order.size() == ids.size() && ordered == ids, "the order names each bolt once");
}

// The bolts that are left keep the numbers and windows of the full plan.
void check_only(const schedule::Schedule& schedule, const plan::Plan& whole) {
  const plan::Plan part = plan::make_plan(schedule, {0});
  for (const plan::Step& step : part.steps) {
    fuzz::require(step.step >= 1 && step.step <= static_cast<int>(whole.steps.size()), "numbers are kept");
    const plan::Step& same = whole.steps[static_cast<std::size_t>(step.step) - 1];
    fuzz::require(step.text == same.text && step.bolt == same.bolt, "steps keep their numbers", step.text);
    if (step.bolt) fuzz::require(*step.bolt == schedule.bolts[0].id, "only the chosen bolt is turned");
  }
}

void check_prediction(const schedule::Schedule& schedule) {
  const auto predictions = plan::predict(schedule);
  for (const plan::Caution& caution : plan::find_cautions(schedule, predictions)) {
    fuzz::require(!caution.slug.empty() && !caution.text.empty(), "a caution says what it is");
    fuzz::require_same_json(plan::to_json(caution).dump());
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const text::SourcePtr source = fuzz::as_source(data, size);
  try {
    const schedule::Schedule schedule = schedule::read_schedule(source);
    const plan::Plan plan = plan::make_plan(schedule);
    check_steps(schedule, plan);
    check_only(schedule, plan);
    if (fuzz::takes_its_time(size)) check_prediction(schedule);
    fuzz::require_same_json(plan::to_json_text(plan));
    const std::string record = plan::to_record(plan).dump();
    fuzz::require_same_json(record);
    const auto again = plan::from_record(*text::parse_json(record));
    fuzz::require(again.has_value(), "a plan that was recorded is read again", record);
    fuzz::require(plan::to_record(*again).dump() == record, "a recorded plan is the same", record);
  } catch (const InputError& refusal) {
    fuzz::require_helpful(refusal);
  }
  return 0;
}
