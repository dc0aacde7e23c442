// What check and the archival copy say to machines.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/bolt_state.h>
#include <clampbook/review/finding.h>
#include <clampbook/text/json.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// `{book, pass, trial, complete, steps, findings, bolts, seal, next}`.
[[nodiscard]] text::Json check_json(const std::string& book_name, const record::Book& book,
                                    const review::Pass& pass, const std::vector<review::Finding>& findings,
                                    const std::vector<review::BoltState>& bolts);

}  // namespace clampbook::report
