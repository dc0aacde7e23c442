// Which tool of a workshop does which stage, what it is set to, and whether it is good enough.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/schedule/tool_list.h>

#include <optional>
#include <vector>

namespace clampbook::plan {

/// The tool for a stage, or none that would do.
struct ToolChoice {
  int stage = 0;
  std::optional<schedule::TorqueWrench> wrench{};  ///< of a torque stage
  std::optional<schedule::Gauge> gauge{};          ///< of an angle or stretch stage
  /// Limit of error: of a torque the share of the torque that clamps (more than the wrench's own where a part
  /// of the setting only turns a lock nut); of an angle in radians, of a stretch in metres.
  double limit = 0;
};

/// A choice for each stage with a torque, an angle or a stretch to reach, in the order of the stages. A
/// wrench must be able to be set to every setting of the stage, prevailing torque and its own adapter
/// reckoned in; of those the one with the smallest limit of error, the first in the list on a tie. Of the
/// gauges the finest. `plan` is the whole plan, without `only`.
[[nodiscard]] std::vector<ToolChoice> choose_tools(const Plan& plan, const schedule::ToolList& tools);

/// What a prediction counts with: the chosen tools' limits of error.
[[nodiscard]] Accuracies accuracies_of(const std::vector<ToolChoice>& choices);

/// The wrench in words, for a stage that it does.
[[nodiscard]] StageTool stage_tool(const schedule::TorqueWrench& wrench);

/// Writes each stage's tool into the plan and turns the steps' settings into what an adapter makes of them,
/// in the unit of the tool's scale where that is known.
void use_tools(Plan& plan, const std::vector<ToolChoice>& choices);

/// What the wrench is set to so that `at_the_bolt` reaches the bolt, its adapter reckoned in.
[[nodiscard]] joint::Torque setting_of(const schedule::TorqueWrench& wrench, joint::Torque at_the_bolt);

/// tool-coarse: the chosen tool's limit of error is more than a third of a step's window (common practice;
/// `have` and `limit` in N·m, degrees or mm), or no torque wrench of the list can be set to the stage's
/// figure (`have` the setting, `limit` the nearest end of a range, both in N·m). One for each stage at most,
/// of its worst step. A list without a torque wrench says nothing of torques.
[[nodiscard]] std::vector<Caution> tool_cautions(const Plan& plan, const schedule::ToolList& tools,
                                                 const std::vector<ToolChoice>& choices);

}  // namespace clampbook::plan
