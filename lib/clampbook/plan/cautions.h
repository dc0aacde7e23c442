// What a plan has to say about its own figures before anybody touches a bolt.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/plan/prediction.h>

#include <vector>

namespace clampbook::plan {

/// The cautions that the file alone shows: hearsay-only, sources-disagree, lubricant-differs,
/// fastener-differs, single-use, bottoms, history-unknown. By stage, then by fastener, in file order.
[[nodiscard]] std::vector<Caution> file_cautions(const schedule::Schedule& schedule);

/// The cautions that need numbers, each with what was computed and its limit: yields, near-break,
/// thin-margin, window-unreachable, hole-strips, seat-crushes, short-engagement, short-free-thread,
/// implausible-figure, recheck-past-yield, no-joint-data. By fastener, then by stage. `have` and `limit` are
/// in N, MPa, mm, N·m or shares, as the text says.
[[nodiscard]] std::vector<Caution> number_cautions(const schedule::Schedule& schedule,
                                                   const std::vector<FastenerPrediction>& predictions);

/// Both.
[[nodiscard]] std::vector<Caution> find_cautions(const schedule::Schedule& schedule,
                                                 const std::vector<FastenerPrediction>& predictions);

}  // namespace clampbook::plan
