// What the checklist, the sheet and the record say of a stage, in the same words.
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

/// "1 flat of a hexagon, 0.167 of a turn".
[[nodiscard]] std::string flats_text(const units::Measured& angle);

/// What stands between the target and the setting of the wrench; empty when they are the same.
[[nodiscard]] std::string setting_text(const plan::Step& step, const std::optional<plan::StageTool>& tool,
                                       const TextStyle& style);

/// What to mind before a stage that may yield the bolt (common practice of the trade).
[[nodiscard]] std::string_view yield_caution();

}  // namespace clampbook::report
