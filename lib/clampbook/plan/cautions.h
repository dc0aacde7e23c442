// What a plan has to say about its own figures before anybody touches a bolt.
#pragma once

#include <clampbook/plan/plan.h>

#include <vector>

namespace clampbook::plan {

/// The cautions that the file alone shows: hearsay-only, sources-disagree, lubricant-differs, fastener-differs,
/// single-use, bottoms, history-unknown. By stage, then by fastener, in file order.
[[nodiscard]] std::vector<Caution> find_cautions(const schedule::Schedule& schedule);

}  // namespace clampbook::plan
