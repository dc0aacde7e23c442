// A torque-angle curve and what was found in it, for people and for machines.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/trace_joint.h>
#include <clampbook/report/text_style.h>
#include <clampbook/text/json.h>
#include <clampbook/trace/reading.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::report {

struct TraceReport {
  std::string file;  ///< as typed
  trace::Curve curve;
  trace::TraceReading reading;
  plan::TraceJoint joint{};
  std::vector<std::string> notes{};  ///< of the file, the curve and the joint, in this order
};

/// `{file, samples, prevailing_Nm, snug_Nm, snug_deg, slope_Nm_per_deg, elastic_origin_deg, yielded,
/// yield_Nm, yield_deg, yield_02_deg, yield_02_Nm, peak_Nm, end_deg, preload_N, verdict, notes}`
[[nodiscard]] text::Json to_json(const TraceReport& trace);

/// Figures, a small chart, notes.
[[nodiscard]] std::string trace_text(const TraceReport& trace, const TextStyle& style);

/// What stands once below all traces.
[[nodiscard]] std::string trace_cautions(const TextStyle& style);

}  // namespace clampbook::report
