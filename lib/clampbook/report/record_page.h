// The record of a pass as a document to hand over with the machine.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/bolt_drawing.h>
#include <clampbook/report/text_style.h>
#include <clampbook/review/bolt_state.h>
#include <clampbook/review/finding.h>

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace clampbook::report {

/// A pass with what was found in it. What it refers to has to outlive it.
struct Record {
  const std::string& book_name;
  const record::Book& book;
  const std::vector<review::Pass>& passes;
  const review::Pass& pass;
  const std::vector<review::Finding>& findings;
  bool is_public = false;  ///< book and findings are a public copy (public_copy.h)
};

/// One for each bolt of the plan: the worst that an unaccepted finding says of it.
[[nodiscard]] std::vector<BoltMark> bolt_marks(const review::Pass& pass,
                                               const std::vector<review::Finding>& findings);

/// One file of HTML, for screen and paper: summary, the bolts with their states, bolt by bolt, stage by
/// stage, findings with their remedies, every line of the pass, pieces, tools, sources, the plan, the last
/// seal. Linear in the readings.
[[nodiscard]] std::string record_page(const Record& record, const TextStyle& style);
/// The same with other states than the passes give: `states` has one for each bolt with steps.
[[nodiscard]] std::string record_page(const Record& record, const std::vector<review::BoltState>& states,
                                      const TextStyle& style);

/// The page's drawings, each alone: (file name, SVG).
[[nodiscard]] std::vector<std::pair<std::string, std::string>> record_drawings(
    const Record& record, const std::vector<review::BoltState>& states, const TextStyle& style);

}  // namespace clampbook::report
