// What begin, log and check say to a person.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/text_style.h>
#include <clampbook/review/bolt_state.h>
#include <clampbook/review/finding.h>

#include <string>
#include <vector>

namespace clampbook::report {

/// "step 12: tighten bolt 3 to 30 N·m (28.8..31.2 N·m)", or "every step has its entry" for nullptr.
[[nodiscard]] std::string next_line(const review::Pass& pass, const plan::Step* next);

/// Findings, each with its remedy below it, faults first.
[[nodiscard]] std::string findings_text(const std::vector<review::Finding>& findings, const TextStyle& style);

/// Findings of one severity that are one thing to a person, as one: the unfilled steps of a stage.
struct FindingGroup {
  const review::Finding* first = nullptr;  ///< whose slug, remedy and so on are those of all
  std::string text;                        ///< names all the bolts
};
/// Faults first, then warnings, then notes.
[[nodiscard]] std::vector<FindingGroup> grouped(const std::vector<review::Finding>& findings);

/// A line of the book in words.
struct RecordLine {
  const record::Event* event = nullptr;
  std::string what{};
  std::vector<std::string> remarks{};  ///< "note: ...", "because: ...", "by ..."
  std::string why_not{};               ///< "does not count, see line 25"; empty when it counts
};
/// Every line of the pass in the order of the book, but for the resolved plan.
[[nodiscard]] std::vector<RecordLine> record_lines(const record::Book& book, const review::Pass& pass,
                                                   const TextStyle& style);

/// Every line of the pass in the order of the book, with its time, remarks and name: readings, gates, bolts
/// fitted and taken out, doubts, notes. What does not count is shown, and said.
[[nodiscard]] std::string record_text(const record::Book& book, const review::Pass& pass,
                                      const TextStyle& style);

/// The whole of `check`: counts, findings, what is known of clamp load, the seal.
[[nodiscard]] std::string check_text(const std::string& book_name, const record::Book& book,
                                     const review::Pass& pass, const std::vector<review::Finding>& findings,
                                     const std::vector<review::BoltState>& bolts, const TextStyle& style);

}  // namespace clampbook::report
