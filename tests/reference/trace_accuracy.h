// How far the reading of torque-angle curves is from the truth of synthetic pulls.
#pragma once

#include "tests/support/pulls.h"

#include <clampbook/text/json.h>

#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace reference {

/// Found less true: percents for slopes and torques, degrees for angles, N·m for the running torque.
struct TraceErrors {
  std::vector<double> slope{}, origin{}, snug{}, half_slope{}, half_slope_torque{}, offset{}, offset_torque{},
      running{}, peak{}, preload{};
  int pulls = 0, right_verdicts = 0, missed_yields = 0, false_yields = 0, yields = 0;
  int preload_bands = 0;  ///< of those in `preload` whose truth lies between p5 and p95
  std::vector<std::string> wrong{};
};

/// `count` pulls of a kind, read through the logger's file that they make.
[[nodiscard]] TraceErrors synthetic_errors(pulls::Kind kind, const pulls::Noise& noise, int count,
                                           std::uint64_t first_seed);

/// The pulls of tests/reference/traces, which come from another generator and are thinned.
[[nodiscard]] TraceErrors recorded_errors();

struct Spread {
  double bias, deviation, p90, p95;  ///< mean and standard deviation; quantiles of the size
};
[[nodiscard]] Spread spread_of(std::vector<double> errors);

/// Markdown for docs/accuracy.md.
[[nodiscard]] std::string trace_tables();

inline constexpr int kYielding = 80, kOthers = 40;

}  // namespace reference
