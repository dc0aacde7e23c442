// Whether a reading's tool was good enough for it; only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/finding.h>

#include <vector>

namespace clampbook::review {

/// stale-tool (its calibration was due before the reading), out-of-range-tool, tool-coarse (its limit of
/// error is more than a third of the window; common practice). Nothing for a tool that the pass's list does
/// not hold.
void judge_tool(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out);

/// What speaks against a tool of the pass's list before it is used at the step: it can't be set to the
/// figure, its calibration is overdue at `now`, its limit of error is too coarse for the window. Empty for a
/// tool that the list does not know.
[[nodiscard]] std::vector<std::string> tool_warnings(const Pass& pass, const Step& step,
                                                     const std::string& tool, record::Timestamp now);

}  // namespace clampbook::review
