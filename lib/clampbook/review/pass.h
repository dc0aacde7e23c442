// One run through a schedule, as the book tells it: what was planned, what was read, what stands.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/record/book.h>

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::review {

using plan::Step;
using units::Measured;

/// A reading, tick, count or measurement that was filed at a step.
struct Entry {
  std::int64_t seq = 0;
  int step = 0;
  std::string kind;                    ///< "reading", "tick", "count", "measure"
  std::optional<Measured> value{};     ///< none for a tick or "done"
  std::optional<double> count{};
  std::optional<Measured> also{};      ///< the companion
  std::string given{};                 ///< as typed
  bool no_turn = false;
  bool click = false;
  record::Timestamp at, written;
};

struct Pass {
  std::int64_t number = 0;             ///< 1, 2, ... in the book
  std::int64_t seq = 0;                ///< of its `begun` line
  std::string title{};
  std::string sha256{};                ///< of the schedule's text
  bool trial = false;
  record::Timestamp began{};
  plan::Plan plan{};
  std::vector<Entry> entries{};        ///< in the order of the book
};

/// What an event files at a step; nothing for events of another kind.
[[nodiscard]] std::optional<Entry> entry_of(const record::Event& event);

/// The passes of a book. Throws InputError (altered-record) when a pass can be rebuilt from neither its plan
/// nor its schedule.
[[nodiscard]] std::vector<Pass> read_passes(const record::Book& book, const std::string& book_name);

/// What is filled and what is due. Steps are looked up by number.
class Progress {
 public:
  /// After all entries of the pass, or (`empty`) before the first of them.
  explicit Progress(const Pass& pass, bool empty = false);

  /// The entry that stands at a step: the latest one; nullptr when the step is unfilled.
  [[nodiscard]] const Entry* standing(int step) const;
  [[nodiscard]] bool filled(int step) const { return standing(step) != nullptr; }
  [[nodiscard]] std::size_t filled_count() const { return standing_.size(); }
  /// The lowest unfilled step, or nullptr when none is left.
  [[nodiscard]] const Step* due() const;
  /// The lowest unfilled step of a bolt, or nullptr.
  [[nodiscard]] const Step* due_for(std::string_view bolt) const;
  [[nodiscard]] const Step* find(int step) const;
  [[nodiscard]] bool complete() const { return filled_count() == pass_.plan.steps.size(); }
  [[nodiscard]] const Pass& pass() const { return pass_; }
  /// The highest filled step, 0 when none is.
  [[nodiscard]] int highest_filled() const;
  /// Takes an entry into account.
  void fill(const Entry& entry) { standing_[entry.step] = &entry; }

 private:
  const Pass& pass_;
  std::map<int, const Entry*> standing_;
};

}  // namespace clampbook::review
