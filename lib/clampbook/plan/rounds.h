// What tightening one bolt takes from its neighbours, and how many rounds in which order even it out.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/text/json.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::plan {

/// One way to go round: an order and the share of the target that each round aims at.
struct RoundScheme {
  schedule::OrderKind order = schedule::OrderKind::listed;
  std::vector<double> levels{};
  // Of the clamp loads at the end, over the target:
  double mean = 0, least = 0, most = 0, variation = 0;  ///< variation: standard deviation over the mean

  /// Largest less smallest over the target.
  [[nodiscard]] double spread() const { return most - least; }
};

struct BoltLoss {
  std::string bolt;
  double share = 0;  ///< of the target that it lost to later bolts in one round in the schedule's order
};

struct RoundsPrediction {
  std::string fastener;
  joint::Force target{};
  bool gasket = false;                 ///< a layer is softer than any metal
  std::vector<BoltLoss> losses{};      ///< in the order in which they are tightened
  std::vector<RoundScheme> schemes{};  ///< the schedule's own order first
  /// Rounds at full torque until the spread is under 10 %, in the schedule's order; nothing when four do not
  /// do.
  std::optional<int> rounds{};
  std::string why_not{};  ///< nothing can be said, and why
};

/// One for each fastener of predict(). Needs the bolts' places, a first layer that is the cover and what lies
/// below it. The plate is taken as infinite, so edge bolts come out too stiff.
[[nodiscard]] std::vector<RoundsPrediction> predict_rounds(
    const schedule::Schedule& schedule, const std::vector<FastenerPrediction>& predictions);

/// `[{fastener, target_N, gasket, losses:[{bolt, share}], schemes:[{order, levels, mean, least, most,
/// variation}], rounds, why_not}]`.
[[nodiscard]] text::Json rounds_json(const std::vector<RoundsPrediction>& rounds);

}  // namespace clampbook::plan
