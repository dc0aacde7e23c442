// What came of a request, in words and as JSON: the answer of log, amend and guide.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/report/text_style.h>
#include <clampbook/text/json.h>

#include <string>

namespace clampbook::report {

/// "recorded 12: bolt 3, step 14, stage 4 (torque): 30.1 N·m, in window 28.8..31.2 N·m", without findings.
[[nodiscard]] std::string answer_text(const bench::Answer& answer, const TextStyle& style);

/// `{seq, pass, step, stage, bolt, kind, value_Q, also_Q, given, at, written, repeated, findings, next}`.
[[nodiscard]] text::Json to_json(const bench::Answer& answer);

}  // namespace clampbook::report
