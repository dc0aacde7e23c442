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
/// setting_Nm, yield_from_Nm, yield_from_deg, may_yield_from_Nm, may_yield_from_deg, expect_Nm:{p5, p95, low,
/// high}, open_time_s}`; what is not known is null.
[[nodiscard]] text::Json to_json(const Step& step);
/// `{slug, fastener, stage, text, have, limit}`.
[[nodiscard]] text::Json to_json(const Caution& caution);
/// `{title, notice, view, order, stages, steps, cautions}` on one line. Step by step, because the tree of a
/// large plan takes longer to build than its text.
[[nodiscard]] std::string to_json_text(const Plan& plan);

/// The version of what to_record writes; a plan without one has 1. It is raised only when a program that does
/// not know a new member would judge wrongly by leaving it aside.
inline constexpr int kPlanVersion = 1;

/// The whole plan, with what a check needs beyond the public shape. What the bolts of a stage share is kept
/// once, and each step says which.
[[nodiscard]] text::Json to_record(const Plan& plan);
/// Reads what to_record wrote, by this program or an earlier one; nothing when it is damaged or newer.
[[nodiscard]] std::optional<Plan> from_record(const text::Json& record);
/// Whether a newer program kept it, so that this one would judge wrongly by it.
[[nodiscard]] bool is_newer(const text::Json& record);

}  // namespace clampbook::plan
