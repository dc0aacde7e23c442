// One run through a schedule, as the book tells it: what was planned, what was read, what stands.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/prepare.h>
#include <clampbook/plan/step_index.h>
#include <clampbook/record/book.h>
#include <clampbook/review/operation.h>
#include <clampbook/schedule/tool_list.h>

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace clampbook::review {

using plan::Step;
using units::Measured;

/// A reading, tick, count or measurement that was filed at a step.
struct Entry {
  std::int64_t seq = 0;
  int step = 0;
  std::string kind;                 ///< "reading", "tick", "count", "measure"
  std::optional<Measured> value{};  ///< none for a tick or "done"
  std::optional<double> count{};
  std::optional<Measured> also{};  ///< the companion
  std::string given{};             ///< as typed
  std::string tool{};
  bool no_turn = false;
  bool click = false;
  std::optional<std::int64_t> corrects{};  ///< the line that it voids
  std::optional<std::int64_t>
      restores{};  ///< the older line that it says again: nothing was turned or read anew
  record::Timestamp at, written;

  std::optional<std::int64_t> voided_by{};  ///< the line that says it does not count
  bool past_piece = false;                  ///< of a bolt that was removed or replaced since
};

/// A bolt was taken out, or another one put in: its steps are open again.
struct Fitting {
  std::int64_t seq = 0;
  std::string bolt;
  bool fitted = false;    ///< another piece, else the same one taken out
  std::int64_t uses = 0;  ///< of the new piece, before
};

/// "I am not sure about this bolt": keeps the pass incomplete until it is resolved.
struct Doubt {
  std::int64_t seq = 0;
  std::string bolt;
  int step = 0;  ///< the bolt's lowest unfilled step then, else its last
  bool resolved = false;
  std::int64_t resolved_by = 0;  ///< the line of the reading that settled it; 0 for anything else
};

/// A finding that somebody accepted, by the line that it is about.
struct Acceptance {
  std::int64_t seq = 0;
  std::int64_t accepts = 0;
  std::string because{};
};

/// A line that was voided by itself, without a new reading.
struct Voiding {
  std::int64_t seq = 0;
  std::int64_t voids = 0;
  std::string because{};
};

/// Which entry stands at each step. Steps by their position in the plan, entries by theirs in the pass, so
/// that a copy of the pass can take it along.
class Standing {
 public:
  static constexpr std::size_t kNone = SIZE_MAX;

  Standing() = default;
  explicit Standing(std::size_t steps) : entries_(steps) {}

  /// The entry that stands there, or kNone.
  [[nodiscard]] std::size_t at(std::size_t step) const {
    return step < entries_.size() && entries_[step] != 0 ? entries_[step] - 1 : kNone;
  }
  /// Whether an entry that counts stood there before the one that does.
  [[nodiscard]] bool again(std::size_t step) const { return again_.contains(step); }
  [[nodiscard]] std::size_t filled() const { return filled_; }
  /// The lowest step that is open; that behind the last when none is.
  [[nodiscard]] std::size_t first_open() const { return first_open_; }
  /// The step behind the last that is filled.
  [[nodiscard]] std::size_t behind_filled() const { return behind_filled_; }

  void fill(std::size_t step, std::size_t entry) { set(step, entry, again(step) || at(step) != kNone); }
  void set(std::size_t step, std::size_t entry, bool again);
  void open(std::size_t step);

 private:
  std::vector<std::uint32_t> entries_{};  // counted from 1; 0: open
  std::set<std::size_t> again_{};
  std::size_t filled_ = 0, first_open_ = 0, behind_filled_ = 0;
};

struct Pass {
  std::int64_t number = 0;  ///< 1, 2, ... in the book
  std::int64_t seq = 0;     ///< of its `begun` line
  std::string title{};
  std::string sha256{};         ///< of the schedule's text
  std::string schedule_text{};  ///< empty when its line is damaged; of gates of a build: the build's
  std::optional<schedule::ToolList> tools{};  ///< as they were when it began
  std::optional<BuildPart> build{};           ///< when it is an operation of one
  bool trial = false;
  std::optional<std::string> only{};  ///< the bolts that it is for, as typed; nothing: all
  record::Timestamp began{};
  std::optional<record::Timestamp> ended{};  ///< of the last entry
  bool abandoned = false;
  bool lost = false;  ///< neither its plan nor its schedule can be read: nothing is known of its steps
  plan::Plan plan{};
  plan::StepIndex index{};       ///< of `plan`
  std::vector<Entry> entries{};  ///< in the order of the book
  std::vector<Fitting> fittings{};
  std::vector<Doubt> doubts{};
  std::vector<Acceptance> acceptances{};
  std::vector<Voiding> voidings{};

  // Kept by apply(), so that no event has to search all that came before:
  std::unordered_map<int, std::vector<std::size_t>>
      entries_at{};     ///< by step number, those of past pieces and voided ones too
  Standing standing{};  ///< of what counts
  std::unordered_map<std::string, std::vector<std::size_t>> fittings_of{};  ///< by bolt
  std::unordered_map<std::string, std::vector<std::size_t>>
      unresolved{};  ///< doubts that nobody has settled or accepted, by bolt
};

/// The entry that stands on a line of the book, or nullptr.
[[nodiscard]] const Entry* entry_on(const Pass& pass, std::int64_t line);

/// The pass as it was prepared when it began: from the text of its schedule, the bolts that it is for and its
/// tools. Nothing when that text can't be read.
[[nodiscard]] std::optional<plan::Prepared> prepared_of(const Pass& pass);

/// The step of that number, or nullptr.
[[nodiscard]] const Step* step_numbered(const Pass& pass, int number);

/// Takes an event of the pass into account, in the order of the book. Events of unknown kinds change nothing.
void apply(Pass& pass, const record::Event& event);

/// The passes of a book, by number; those among them that were lost too.
[[nodiscard]] std::vector<Pass> read_passes(const record::Book& book);

/// Whether readings are still to come: a step is unfilled, and the pass was not abandoned.
[[nodiscard]] bool is_open(const Pass& pass);

/// What is filled and what is due, seen through the pass, which has to outlive it. Steps are looked up by
/// number. Costs nothing to make.
class Progress {
 public:
  /// As it is, or (`empty`) as it was before the first entry.
  explicit Progress(const Pass& pass, bool empty = false);
  /// With other entries standing.
  Progress(const Pass& pass, const Standing& standing) : pass_(pass), standing_(standing) {}

  /// The entry that stands at a step: the latest one that counts; nullptr when the step is unfilled.
  [[nodiscard]] const Entry* standing(int step) const;
  [[nodiscard]] bool filled(int step) const { return standing(step) != nullptr; }
  /// Whether an entry that counts stood at the step before the one that stands there.
  [[nodiscard]] bool read_again(int step) const;
  [[nodiscard]] std::size_t filled_count() const { return standing_.filled(); }
  /// The lowest unfilled step; nullptr when none is left, and of an abandoned pass.
  [[nodiscard]] const Step* due() const;
  /// The lowest unfilled step of a bolt, or nullptr.
  [[nodiscard]] const Step* due_for(const std::string& bolt) const;
  [[nodiscard]] const Step* find(int step) const;
  [[nodiscard]] bool complete() const { return filled_count() == pass_.plan.steps.size(); }
  [[nodiscard]] const Pass& pass() const { return pass_; }
  /// The highest filled step, 0 when none is; of one bolt alone if it is given.
  [[nodiscard]] int highest_filled(const std::string* bolt = nullptr) const;

 private:
  const Pass& pass_;
  const Standing& standing_;
};

/// The position of a step of the pass's plan.
[[nodiscard]] inline std::size_t position_of(const Pass& pass, const Step& step) {
  return static_cast<std::size_t>(&step - pass.plan.steps.data());
}

}  // namespace clampbook::review
