// Plans and steps as JSON: for scripts, and for the book, which keeps the resolved plan so that a pass is
// judged by what was planned and not by what a later program would plan.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/text/json.h>

#include <optional>
#include <string>

namespace clampbook::plan {

/// `{step, stage, stage_name, kind, bolt, label, text, target_Q, low_Q, high_Q, assumed, expect, wait_s,
/// setting_Nm}`.
[[nodiscard]] text::Json to_json(const Step& step);
/// `{slug, fastener, stage, text, have, limit}`.
[[nodiscard]] text::Json to_json(const Caution& caution);
/// `{title, notice, view, order, stages, steps, cautions}` on one line. Step by step, because the tree of a
/// large plan takes longer to build than its text.
[[nodiscard]] std::string to_json_text(const Plan& plan);

/// The whole plan, with what a check needs beyond the public shape.
[[nodiscard]] text::Json to_record(const Plan& plan);
/// Reads what to_record wrote; nothing when it is damaged.
[[nodiscard]] std::optional<Plan> from_record(const text::Json& record);

}  // namespace clampbook::plan
