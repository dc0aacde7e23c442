// The bolts of a joint as they lie, drawn with characters.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/text_style.h>

#include <string>
#include <unordered_map>

namespace clampbook::report {

/// One sign before a bolt, by its id; a bolt without one gets a space.
using BoltSigns = std::unordered_map<std::string, std::string>;

/// Every bolt as "[id] order" at its place, `view` above it; in list order where places are not known or
/// where there are too many to draw. With `signs` each bolt has its own in front. Ends in a line feed.
[[nodiscard]] std::string bolt_picture(const plan::Plan& plan, const TextStyle& style,
                                       const BoltSigns* signs = nullptr);

}  // namespace clampbook::report
