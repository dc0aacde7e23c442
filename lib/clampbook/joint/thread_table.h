// The standard sizes and their pitches (data/*.inc), for the reader of designations.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::joint {

struct MetricRow {
  double diameter;             ///< mm
  double coarse;               ///< mm; 0 where the size has no coarse pitch
  std::array<double, 4> fine;  ///< mm; 0 where there are fewer
};

struct UnifiedRow {
  std::string_view size;  ///< "3/8", "1 1/4", "#10"
  double diameter;        ///< in
  double coarse;          ///< UNC, threads per inch; 0 where there is none
  double fine;            ///< UNF
  double extra_fine;      ///< UNEF
};

[[nodiscard]] std::span<const MetricRow> metric_table();
[[nodiscard]] std::span<const UnifiedRow> unified_table();
/// Every standard designation, for "did you mean".
[[nodiscard]] const std::vector<std::string>& standard_threads();

}  // namespace clampbook::joint
