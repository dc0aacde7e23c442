// A prediction as a picture: what the bolt holds and what the wrench feels while the bolt is turned.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/report/svg.h>
#include <clampbook/report/text_style.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// Clamp load and torque against the turn of the bolt, for each prediction: nominal, with the band from 5 %
/// to 95 %, the clamp load at which the bolt yields, the ends of the stages. Between the ends the same
/// prediction is made for parts of the stage. A fastener without joint data has no turn to be drawn against:
/// its stages stand side by side. `options` as the predictions were made with.
[[nodiscard]] std::string prediction_drawing(const schedule::Schedule& schedule,
                                             const std::vector<plan::FastenerPrediction>& predictions,
                                             const plan::PredictionOptions& options, const TextStyle& style);

}  // namespace clampbook::report
