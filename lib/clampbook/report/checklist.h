// The plan as a checklist for a terminal or a plain printer.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/text_style.h>

#include <string>

namespace clampbook::report {

/// Title, notice, cautions, bolt picture, then stage by stage the figures in both unit systems, their
/// sources, and a box for every step in order.
[[nodiscard]] std::string checklist(const schedule::Schedule& schedule, const plan::Plan& plan,
                                    const TextStyle& style);

}  // namespace clampbook::report
