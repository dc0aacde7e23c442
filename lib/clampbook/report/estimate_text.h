// What the readings of a pass say of clamp load, for people: never a figure without its interval.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/text_style.h>
#include <clampbook/review/bolt_state.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// A line for each bolt with an estimate, and one for each reason why nothing can be said of others. Empty
/// for no bolts.
[[nodiscard]] std::string estimates_text(const std::vector<review::BoltState>& bolts, const TextStyle& style);

}  // namespace clampbook::report
