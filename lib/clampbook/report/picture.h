// The bolts of a joint as they lie, drawn with characters.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/text_style.h>

#include <string>

namespace clampbook::report {

/// Every bolt as "[id] order" at its place, `view` above it; in list order where places are not known or
/// where there are too many to draw. Ends in a line feed.
[[nodiscard]] std::string bolt_picture(const plan::Plan& plan, const TextStyle& style);

}  // namespace clampbook::report
