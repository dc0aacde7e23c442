// What a person needs to know of one step: the plan and the guide say it in the same words.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/text_style.h>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::report {

/// The steps in their order, cut where the stage changes: by group, a stage comes more than once.
[[nodiscard]] std::vector<std::span<const plan::Step>> stage_runs(const plan::Plan& plan);

/// True when target, window and setting are the same for all of them.
[[nodiscard]] bool same_figures(std::span<const plan::Step> steps);

/// Target and window in both unit systems, flats, tool, setting, final torque: a line each.
[[nodiscard]] std::vector<std::string> figure_lines(const plan::Step& step,
                                                    const std::optional<plan::StageTool>& tool,
                                                    std::optional<bool> left_hand, const TextStyle& style);

/// What stands between the target and the setting of the wrench; empty when they are the same.
[[nodiscard]] std::string setting_text(const plan::Step& step, const std::optional<plan::StageTool>& tool,
                                       const TextStyle& style);

/// Whether the bolts of these steps have left-hand threads; nothing when some have.
[[nodiscard]] std::optional<bool> left_hand_alike(const plan::Plan& plan, std::span<const plan::Step> steps);

/// "final torque 20..28 N·m (14.8..20.7 ft·lbf)", with what a lock nut adds on the wrench. The step asks for
/// one.
[[nodiscard]] std::string final_torque_text(const plan::Step& step, const TextStyle& style);

/// What the wrench has to show beyond a final torque where only some of the bolts have lock nuts, or
/// different ones; empty where one figure fits them all.
[[nodiscard]] std::string lock_nuts_text(std::span<const plan::Step> steps, const TextStyle& style);

/// Which way the bolts of these steps of one stage are turned, when a left-hand thread is among them:
/// "left-hand thread: tighten anticlockwise", or for a mixed stage the bolts by name. Empty when there is
/// none.
[[nodiscard]] std::string direction_text(const plan::Plan& plan, std::span<const plan::Step> steps);

/// "that is 1 flat of a hexagon, 0.167 of a turn: from 12 to 2 on a clock face"; empty for other steps.
[[nodiscard]] std::string flats_text(const plan::Step& step, std::optional<bool> left_hand);

}  // namespace clampbook::report
