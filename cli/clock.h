// The only place that reads the clock.
#pragma once

#include <clampbook/record/timestamp.h>

namespace clampbook::cli {

/// Now, with the offset of the local time zone.
[[nodiscard]] record::Timestamp now();

}  // namespace clampbook::cli
