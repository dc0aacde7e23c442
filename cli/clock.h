// The only place that reads the clock.
#pragma once

#include <clampbook/record/timestamp.h>

namespace clampbook::cli {

/// Now, with the offset of the local time zone; UTC where that offset is a day or more. Throws InputError
/// (bad-time) for a year that no book can hold.
[[nodiscard]] record::Timestamp now();

}  // namespace clampbook::cli
