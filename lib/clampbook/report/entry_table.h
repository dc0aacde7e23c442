// The empty table of a plan, one row a step, to be filled in from a paper sheet and read by `log --lines`.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>

#include <string>
#include <string_view>

namespace clampbook::report {

/// CSV with the columns of bench/rows.h. Each row's key is
/// `print` and its step, so that a table that is read again records nothing twice: `print` differs from one
/// print to the next.
[[nodiscard]] std::string entry_table(const plan::Plan& plan, std::string_view print);

}  // namespace clampbook::report
