#include <clampbook/plan/step_index.h>

namespace clampbook::plan {

namespace {
const StepIndex::Positions kNone;
}

StepIndex::StepIndex(const Plan& plan) {
  bolts_.reserve(plan.bolts.size());
  for (std::size_t i = 0; i < plan.bolts.size(); ++i) bolts_[plan.bolts[i].id].position = i;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const Step& step = plan.steps[i];
    if (step.bolt) {
      bolts_[*step.bolt].turning.push_back(i);
    } else if (step.label) {
      bolts_[*step.label].gates.push_back(i);
    }
  }
}

const StepIndex::Positions& StepIndex::turning(const std::string& bolt) const {
  const auto found = bolts_.find(bolt);
  return found == bolts_.end() ? kNone : found->second.turning;
}

const StepIndex::Positions& StepIndex::gates(const std::string& bolt) const {
  const auto found = bolts_.find(bolt);
  return found == bolts_.end() ? kNone : found->second.gates;
}

std::optional<std::size_t> StepIndex::bolt(const std::string& id) const {
  const auto found = bolts_.find(id);
  return found == bolts_.end() ? std::nullopt : found->second.position;
}

}  // namespace clampbook::plan
