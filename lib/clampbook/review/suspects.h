// What only a group of bolts can show: one that is unlike the others, a friction that is not what was
// assumed. Only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/finding.h>
#include <clampbook/review/piece.h>

#include <vector>

namespace clampbook::review {

/// odd-one-out: of 4 to 24 bolts that share fastener, group, stages and tools.
void judge_odd_ones(const Pass& pass, const Progress& progress, std::vector<Finding>& out);

/// friction-suspect: the whole group sits off what its lubricant should give, or a bolt's readings fit
/// nothing that the schedule says. Costs an estimate of every bolt, unless the caller has them.
void judge_friction(const Pass& pass, const Progress& progress, const Pieces& pieces,
                    const PassEstimates* estimates, std::vector<Finding>& out);

}  // namespace clampbook::review
