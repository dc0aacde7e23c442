// What neighbours take from each other, and how many rounds even it out, for people.
#pragma once

#include <clampbook/plan/rounds.h>
#include <clampbook/report/text_style.h>

#include <string>
#include <vector>

namespace clampbook::report {

[[nodiscard]] std::string rounds_text(const std::vector<plan::RoundsPrediction>& rounds,
                                      const TextStyle& style);

}  // namespace clampbook::report
