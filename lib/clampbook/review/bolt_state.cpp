#include <clampbook/review/bolt_state.h>

#include <algorithm>

namespace clampbook::review {

using plan::StageKind;

namespace {

bool loads_the_bolt(StageKind kind) {
  return kind == StageKind::torque || kind == StageKind::angle || kind == StageKind::yield || kind == StageKind::stretch;
}

// The stage from which on the bolt counts as tightened: its last torque stage, else its first loading one.
int counting_stage(const Pass& pass, const std::string& bolt) {
  int last_torque = 0, first_load = 0;
  for (const Step& step : pass.plan.steps) {
    if (step.bolt != bolt || !loads_the_bolt(step.kind)) continue;
    if (step.kind == StageKind::torque) last_torque = step.stage;
    if (first_load == 0) first_load = step.stage;
  }
  return last_torque != 0 ? last_torque : first_load;
}

bool was_tightened(const Pass& pass, const std::string& bolt) {
  const int from = counting_stage(pass, bolt);
  if (from == 0) return false;
  const Progress progress(pass);
  return std::any_of(pass.plan.steps.begin(), pass.plan.steps.end(), [&](const Step& step) {
    return step.bolt == bolt && step.stage >= from && loads_the_bolt(step.kind) && progress.filled(step.step);
  });
}

std::string why_not(const Pass& pass, const std::string& bolt) {
  bool any = false, angle = false;
  for (const Entry& entry : pass.entries) {
    const auto step = std::find_if(pass.plan.steps.begin(), pass.plan.steps.end(), [&](const Step& s) { return s.step == entry.step; });
    if (step == pass.plan.steps.end() || step->bolt != bolt || !entry.value) continue;
    any = true;
    if (entry.value->dimension() != units::Dimension::torque || entry.also) angle = true;
  }
  if (!any) return "nothing was read on this bolt";
  if (!angle) return "only torques were read: a torque alone identifies neither friction nor clamp load";
  return "this version makes no estimate from torque and angle";
}

}  // namespace

std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass) {
  std::vector<BoltState> out;
  for (const plan::PlanBolt& bolt : pass.plan.bolts) {
    const bool here = std::any_of(pass.plan.steps.begin(), pass.plan.steps.end(), [&](const Step& s) { return s.bolt == bolt.id; });
    if (!here) continue;
    BoltState state{bolt.id, bolt.fastener};
    for (const Pass& other : passes)
      if (other.number <= pass.number && other.title == pass.title && was_tightened(other, bolt.id)) ++state.uses;
    for (const Entry& entry : pass.entries)
      for (const Step& step : pass.plan.steps)
        if (step.step == entry.step && step.bolt == bolt.id) state.readings.push_back(entry.seq);
    state.why_not = why_not(pass, bolt.id);
    out.push_back(std::move(state));
  }
  return out;
}

}  // namespace clampbook::review
