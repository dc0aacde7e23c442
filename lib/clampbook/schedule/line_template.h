// The template of the lines that a torque wrench sends: what stands where in "P4=26.3 N·m @58".
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/target.h>
#include <clampbook/schedule/tool_list.h>

#include <optional>
#include <string_view>

namespace clampbook::schedule {

/// What is wrong with a template, or nothing. It holds {torque} or {angle} or both, each once, and {skip} for
/// what is of no interest; something must stand between two of them, and not the sign that divides a
/// decimal figure. Faults: unknown-word, wrong-shape, missing-key, duplicate-key, conflicting-keys.
[[nodiscard]] std::optional<TargetFault> check_line_template(std::string_view line, DecimalSign decimal);

}  // namespace clampbook::schedule
