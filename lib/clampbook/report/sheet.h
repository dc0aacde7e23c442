// The sheet for the wall above the bench: it can be worked from with dirty hands, from two metres, without
// the program.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/text_style.h>

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::report {

struct Sheet {
  std::string html;
  std::size_t pages = 0;  ///< in print, on A4 and on Letter
};

/// A schedule's part of a sheet; of a build each operation is one. What it refers to has to outlive it.
struct SheetPart {
  const schedule::Schedule& schedule;
  const plan::Plan& plan;
  std::string schedule_sha256;
  std::string operation{};  ///< of a build: its name, and what must be finished before it
};

/// One page of HTML for a printer with A4 or Letter paper, in black and white: title and notice, the bolts
/// with their turns, then each stage with target, window, setting, cautions, and a box for each bolt. The
/// standing cautions, the page's number and the schedule's SHA-256 are on every page. Linear in the steps.
[[nodiscard]] Sheet sheet(std::string_view title, const std::vector<SheetPart>& parts,
                          const TextStyle& style);

}  // namespace clampbook::report
