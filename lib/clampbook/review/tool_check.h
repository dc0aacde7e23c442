// Whether a reading's tool was good enough for it; only this room includes it.
#pragma once

#include <clampbook/review/finding.h>

#include <vector>

namespace clampbook::review {

/// stale-tool (its calibration was due before the reading), out-of-range-tool, tool-coarse (its limit of
/// error is more than a third of the window; common practice). Nothing for a tool that the pass's list does
/// not hold.
void judge_tool(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out);

}  // namespace clampbook::review
