// What is known of each bolt of a pass.
#pragma once

#include <clampbook/review/pass.h>

#include <cstdint>
#include <string>
#include <vector>

namespace clampbook::review {

struct BoltState {
  std::string id, fastener;
  /// How often the bolt was tightened to its last torque stage or beyond in this joint, in all passes of the
  /// book up to and with this one.
  std::int64_t uses = 0;
  std::vector<std::int64_t> readings{};  ///< lines of the book, this pass
  std::string why_not{};                 ///< why no clamp load is estimated
};

/// One for each bolt that has steps in `pass`, in list order.
[[nodiscard]] std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass);

}  // namespace clampbook::review
