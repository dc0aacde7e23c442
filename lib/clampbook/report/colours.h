// The colours of pages and drawings, on light and on dark ground. Words have a contrast of 4.5 to 1 at least,
// shapes of 3 to 1; no colour says anything that a shape or a word beside it does not say too.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string>

namespace clampbook::report {

/// `:root` with the colours, by the reader's preference; light in print.
[[nodiscard]] std::string colour_style();
/// The light ones alone: for what is meant for paper.
[[nodiscard]] std::string paper_style();

}  // namespace clampbook::report
