// From the text of a schedule file to a Schedule.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/model.h>
#include <clampbook/text/diagnostic.h>

#include <string>
#include <string_view>

namespace clampbook::schedule {

/// Reads `format: fastener schedule 1`. Throws InputError with up to 20 problems in file order, each with
/// its place: every mistake that the file alone can show is found here, so that what is returned holds.
[[nodiscard]] Schedule read_schedule(const text::SourcePtr& source);

/// The bolts that BOLTS names: ids with commas, ranges of whole numbers ("3-7"), or a group. Indices in list
/// order. Throws InputError (unknown-bolt, wrong-shape) that points into `given`.
[[nodiscard]] std::vector<std::size_t> select_bolts(const Schedule& schedule, const text::SourcePtr& given);

}  // namespace clampbook::schedule
