// Predictions as JSON.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/text/json.h>

#include <vector>

namespace clampbook::plan {

/// `{fasteners: {NAME: {...}}, cautions}`.
[[nodiscard]] text::Json to_json(const std::vector<FastenerPrediction>& predictions,
                                 const std::vector<Caution>& cautions);

}  // namespace clampbook::plan
