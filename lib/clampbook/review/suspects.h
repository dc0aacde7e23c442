// What only a group of bolts can show: one that is unlike the others, a friction that is not what was
// assumed. Only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/posterior.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/piece.h>
#include <clampbook/review/rules.h>

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace clampbook::review {

/// What a bolt tells beside others like it.
struct LikeBolt {
  std::string likeness;  ///< fastener, group, stages and tools: what bolts must have in common
  joint::BoltEvidence evidence;
};
/// Nothing while it has no torque at the end of an angle. `bolt` is the position in the plan's list.
[[nodiscard]] std::optional<LikeBolt> like_bolt(const Pass& pass, std::size_t bolt);

/// odd-one-out: of bolts that are alike, in the order of the plan's list.
void judge_alike(const Pass& pass, const std::vector<std::pair<std::size_t, const LikeBolt*>>& alike,
                 Findings& out);

/// friction-suspect: the whole group sits off what its lubricant should give, or a bolt's readings fit
/// nothing that the schedule says. Costs an estimate of every bolt, unless the caller has them.
void judge_friction(const Pass& pass, const Pieces& pieces, const PassEstimates* estimates, Findings& out);

}  // namespace clampbook::review
