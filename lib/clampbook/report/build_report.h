// A whole assembly for people and for machines: its operations in order, what may be done now, what must
// wait.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/text_style.h>
#include <clampbook/schedule/build.h>
#include <clampbook/text/json.h>

#include <span>
#include <string>

namespace clampbook::report {

/// `plans` has the plan of each operation, with its cautions, in the order of build.operations; nothing
/// counts as finished.
[[nodiscard]] std::string build_text(const schedule::Build& build, std::span<const plan::Plan> plans,
                                     const TextStyle& style);

/// `{title, notice, operations:[{name, title, schedule, after, only, steps:[STEP], cautions:[CAUTION]}]}`.
[[nodiscard]] text::Json build_json(const schedule::Build& build, std::span<const plan::Plan> plans);

}  // namespace clampbook::report
