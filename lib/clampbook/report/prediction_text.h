// What a prediction says to a person: an engineer's note, stage by stage.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/report/text_style.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// For each fastener its limits, each stage with a small bar of p5 to p95 against yield, proof and breaking
/// load, the comparison of lubricants and sources, what dominates the scatter, what could not be computed;
/// then the cautions.
[[nodiscard]] std::string prediction_text(const schedule::Schedule& schedule,
                                          const std::vector<plan::FastenerPrediction>& predictions,
                                          const std::vector<plan::Caution>& cautions, const TextStyle& style);

}  // namespace clampbook::report
