// What was read in a pass, drawn: each stage's readings in their window, torque against angle, clamp load
// against yield.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/report/svg.h>
#include <clampbook/report/text_style.h>
#include <clampbook/review/bolt_state.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// The part of a reading that the window is about: without the running torque of a lock nut, in the window's
/// unit. Nothing when no figure of the window's dimension was read.
[[nodiscard]] std::optional<units::Measured> judged_part(const plan::Step& step, const review::Entry& entry);

/// The readings of a stage, bolt by bolt in the order of the plan, in their windows. Empty when the stage has
/// no window or none of its steps has a reading.
[[nodiscard]] std::string strip_chart(const review::Progress& progress, const plan::PlanStage& stage,
                                      const std::vector<const plan::Step*>& steps, const TextStyle& style,
                                      Setting setting);

/// A line for each bolt of which angle and torque were read together, from its last torque stage on. Empty
/// without such readings.
[[nodiscard]] std::string torque_angle_chart(const review::Progress& progress, const TextStyle& style,
                                             Setting setting);

/// The interval of each bolt's clamp load, with the load at which it yields where `predictions` know it.
/// Empty when no clamp load was estimated.
[[nodiscard]] std::string preload_chart(const std::vector<review::BoltState>& states,
                                        const std::vector<plan::FastenerPrediction>& predictions,
                                        const TextStyle& style, Setting setting,
                                        std::string_view notice = {});

}  // namespace clampbook::report
