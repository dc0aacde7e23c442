// The record of a pass for a spreadsheet.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/record_page.h>

#include <string>

namespace clampbook::report {

/// RFC 4180 with a head: a row for each line of the pass, then one for each step without an entry. Columns:
/// line, at, kind, stage, step, bolt, label, value, unit, low, high, also, also_unit, counts, findings, tool,
/// by, note, because. Words that a spreadsheet would take for a formula begin with an apostrophe.
[[nodiscard]] std::string record_csv(const Record& record);

}  // namespace clampbook::report
