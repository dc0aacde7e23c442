// Torque-angle curves as a picture.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/trace_report.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// A panel for each curve, one below the other: the curve, its elastic line, the snug point, yield by half of
/// the slope and, where a joint is known, by 0.2 % strain; verdict and clamp load in words.
[[nodiscard]] std::string trace_drawing(const std::vector<TraceReport>& traces, const TextStyle& style);

}  // namespace clampbook::report
