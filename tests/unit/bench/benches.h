// A pass that is walked without a terminal.
#pragma once

#include "tests/support/schedules.h"
#include "tests/unit/record/books.h"

#include <clampbook/bench/begin.h>
#include <clampbook/bench/open_book.h>
#include <clampbook/bench/walk.h>

#include <memory>
#include <string>
#include <variant>
#include <vector>

namespace clampbook::test {

/// A clock that goes on by five seconds, or another step, each time it is asked. Its copies are one clock.
class Seconds {
 public:
  record::Timestamp operator()() {
    state_->now.milliseconds += state_->step;
    return state_->now;
  }
  void step(std::int64_t milliseconds) { state_->step = milliseconds; }

 private:
  struct State {
    record::Timestamp now = books::kNow;
    std::int64_t step = 5000;
  };
  std::shared_ptr<State> state_ = std::make_shared<State>();
};

/// A book on a memory disk with one pass of a schedule.
class Bench {
 public:
  explicit Bench(const std::string& schedule, bench::WalkSettings settings = somebody())
      : path_(folder_.file("b.book")),
        pass_(begin(schedule)),
        book(path_, clock_),
        walk(pass_, std::move(settings)) {}

  static bench::WalkSettings somebody() {
    bench::WalkSettings out;
    out.somebody_answers = true;
    return out;
  }
  bench::Outcome start() { return bench::start(book, walk); }
  bench::Outcome type(const std::string& line) {
    return bench::turn(book, walk, bench::LineIn{bench::LineIn::From::typed, line});
  }
  [[nodiscard]] int due() {
    const plan::Step* step = walk.step(book.view(pass_));
    return step != nullptr ? step->step : 0;
  }
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] Seconds& clock() { return clock_; }

 private:
  std::int64_t begin(const std::string& schedule) {
    bench::BeginRequest request;
    request.file = std::make_shared<const text::Source>("s.yaml", schedule);
    request.program = "test";
    return bench::begin(path_, request, clock_).pass->number;
  }

  books::Folder folder_{"/dev/shm"};
  std::string path_;
  Seconds clock_;
  std::int64_t pass_;

 public:
  bench::OpenBook book;
  bench::Walk walk;
};

/// The items of one kind.
template <class Kind>
std::vector<Kind> of_kind(const bench::Outcome& outcome) {
  std::vector<Kind> out;
  for (const bench::Item& item : outcome.items)
    if (const auto* found = std::get_if<Kind>(&item)) out.push_back(*found);
  return out;
}

}  // namespace clampbook::test
