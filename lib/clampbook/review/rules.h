// The rules, each a pure function of the book and a cell: what can be judged by itself. Only this room
// includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prediction.h>
#include <clampbook/review/arrivals.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/piece.h>

#include <compare>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::review {

/// Where a finding stands among all of a pass: by step, then by line, then by rule.
struct FindingKey {
  enum class Part : std::uint8_t { steps, damage, clock, trial } part = Part::steps;
  std::optional<int> step{};
  std::optional<std::int64_t> seq{};
  enum class Rule : std::uint8_t {
    order,
    entry,
    open,
    doubt,
    piece,
    odd,
    friction,
    operation,
    correction,
    acceptance,
  } rule = Rule::order;
  std::size_t nth = 0;  ///< within the rule
  auto operator<=>(const FindingKey&) const = default;
};

struct Found {
  FindingKey key;
  Finding finding;
};

/// Collects what the rules find. A line that was taken back, or a bolt that was taken out, makes history of
/// it.
class Findings {
 public:
  explicit Findings(const Pass& pass) : pass_(pass) {}

  void add(FindingKey::Rule rule, std::size_t nth, Finding finding);
  void add(FindingKey::Part part, std::size_t nth, Finding finding);
  [[nodiscard]] std::vector<Found>& all() { return found_; }

 private:
  const Pass& pass_;
  std::vector<Found> found_{};
};

/// A step: every entry at it, or that it is open though later ones are filled; `until` finished: in any case.
void judge_step(const Pass& pass, const std::vector<Arrival>& arrivals, std::size_t position, Until until,
                Findings& out);
/// A correction at a step that the plan does not have.
void judge_lost_correction(const Pass& pass, std::size_t entry, Findings& out);
/// `predictions` are of the pass's schedule.
void judge_doubt(const Pass& pass, std::size_t doubt,
                 const std::vector<plan::FastenerPrediction>& predictions, Findings& out);
/// reused-fastener. `bolt` is the position in the plan's list.
void judge_piece(const Pass& pass, std::size_t bolt, const Piece& piece, Findings& out);
void tell_voiding(const Pass& pass, std::size_t voiding, Findings& out);
void tell_acceptance(const Pass& pass, std::size_t acceptance, Findings& out);

/// torn-line, altered-record
void judge_damage(const record::Book& book, const Pass& pass, Findings& out);
/// clock-back: of an event against the one before it.
void judge_clock(const record::Book& book, const Pass& pass, std::size_t event, Findings& out);
void judge_trial(const Pass& pass, Findings& out);

}  // namespace clampbook::review
