// From the `fn` of a row of values.csv to a call of the library: one table, for the test that holds the rows
// and for the accuracy report.
#pragma once

#include <clampbook/joint/strength.h>
#include <clampbook/joint/thread.h>

#include "tests/reference/rows.h"

#include <map>
#include <string>

namespace reference {

/// In the unit of the row.
using Compute = double (*)(const Row&);

[[nodiscard]] const std::map<std::string, Compute>& computations();

/// Rows that hold a rounded short form for people (0.16 P, 0.58, 1.155, 0.577). The library has the exact
/// form only; it must lie within 0.8 % of the short one, the largest difference known between them.
[[nodiscard]] const std::map<std::string, Compute>& short_forms();
inline constexpr double kShortFormBound = 0.008;

/// Computations that no part of the library does, each with the reason.
[[nodiscard]] const std::map<std::string, std::string>& not_ours();

/// Rows that the exact form misses, by id, each with the reason.
[[nodiscard]] const std::map<std::string, std::string>& unmet();

/// What a row "M10x1.25 class 8.8 ..." names, from our tables. Throws std::logic_error when they know it not.
struct ClassRow {
  clampbook::joint::Thread thread;
  clampbook::joint::Strength strength;
};
[[nodiscard]] ClassRow class_row(const Row& row);

}  // namespace reference
