// What a check has to say: each with its place in the pass, its numbers, and what to do about it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/pass.h>
#include <clampbook/text/json.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::review {

struct PassEstimates;

enum class Severity { fault, warning, note };
[[nodiscard]] std::string_view name(Severity severity);

struct Finding {
  std::string slug;
  Severity severity = Severity::fault;
  std::int64_t pass = 0;
  std::optional<int> stage{}, step{};
  std::optional<std::string> bolt{};
  std::optional<std::int64_t> seq{};
  std::optional<std::string> state{};  ///< of a missed step: "passed_over" or "not_reached"
  std::optional<int> fits_step{};
  std::string text{}, remedy{};
  std::optional<std::string> accepted{};
};

enum class Until {
  finished,  ///< the pass is judged as finished: every unfilled step is missed
  so_far,    ///< steps that were not reached yet are left out
  at_once,   ///< so far, without friction-suspect, which costs an estimate of every bolt
};

/// Everything that the pass shows, by step, then by line of the book; what concerns the book as a whole
/// comes last. `passes` are all of the book, for what the bolts have been through; `pass` is one of them.
/// `estimates`, when the caller has them already, spare their cost.
[[nodiscard]] std::vector<Finding> find_findings(const record::Book& book, const std::vector<Pass>& passes,
                                                 const Pass& pass, Until until,
                                                 const PassEstimates* estimates = nullptr);

/// Those of `findings` that `known` does not say already: what an entry brought.
[[nodiscard]] std::vector<Finding> not_in(const std::vector<Finding>& known, std::vector<Finding> findings);

/// True when a finding makes `check` exit with 1.
[[nodiscard]] bool falls_short(const std::vector<Finding>& findings);
/// Every step filled and no fault open.
[[nodiscard]] bool is_complete(const Pass& pass, const std::vector<Finding>& findings);

/// `{slug, severity, pass, stage, step, bolt, seq, state, fits_step, text, remedy, accepted}`.
[[nodiscard]] text::Json to_json(const Finding& finding);

}  // namespace clampbook::review
