// What is known of each bolt of a pass: its piece, its readings, what it holds.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/estimate.h>

#include <cstdint>
#include <string>
#include <vector>

namespace clampbook::review {

struct BoltState {
  std::string id, fastener;
  std::int64_t uses = 0;                 ///< of the piece that sits there now, this pass included
  std::vector<std::int64_t> readings{};  ///< lines of the book, this pass, those that count
  BoltEstimate estimate{};
};

/// One for each bolt that has steps in `pass`, in list order.
[[nodiscard]] std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass);
/// The same from estimates of that pass.
[[nodiscard]] std::vector<BoltState> bolt_states(const std::vector<Pass>& passes, const Pass& pass,
                                                 const PassEstimates& estimates);

}  // namespace clampbook::review
