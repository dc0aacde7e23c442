// What to do about a bolt that nobody is sure of, without turning it further.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/review/pass.h>

#include <string>
#include <vector>

namespace clampbook::review {

/// The witness marks first; then a torque at which movement tells the two states of the bolt apart, and what
/// its answer means: above 1.15 times what the earlier state was brought to, below 0.9 times what the later
/// one would need (common practice for the margins); and what can't be told.
/// in      predictions  those of prepared_of(pass); empty when its schedule can't be read
[[nodiscard]] std::string doubt_advice(const Pass& pass, const Doubt& doubt,
                                       const std::vector<plan::FastenerPrediction>& predictions);

}  // namespace clampbook::review
