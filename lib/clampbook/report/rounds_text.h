// What neighbours take from each other, and how many rounds even it out, for people.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/rounds.h>
#include <clampbook/report/text_style.h>

#include <string>
#include <vector>

namespace clampbook::report {

[[nodiscard]] std::string rounds_text(const std::vector<plan::RoundsPrediction>& rounds,
                                      const TextStyle& style);

}  // namespace clampbook::report
