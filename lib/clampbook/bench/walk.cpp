#include <clampbook/bench/open_book.h>
#include <clampbook/bench/walk.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <iterator>
#include <utility>

namespace clampbook::bench {

Walk::Walk(std::int64_t pass, WalkSettings settings) : pass_(pass), settings_(std::move(settings)) {}

const plan::Step* Walk::step(const View& view) const {
  return review::step_numbered(view.pass, step_);
}

void Walk::unread(std::string_view given, std::string_view reason, std::string_view why) {
  show(Unread{std::string(given), std::string(reason), std::string(why)});
}

void Walk::leave_queued(std::string_view reason, std::string_view why) {
  for (const LineIn& line : waiting_) unread(line.text, reason, why);
  waiting_.clear();
  show(DropQueued{std::string(reason), std::string(why)});
}

Outcome Walk::stop(Signal signal, std::string reason, const View& view) {
  leave_queued("unanswered", "came before the guide ended: read it again");
  show(Stopped{std::move(reason), step_, view.pass.abandoned});
  out_.signal = signal;
  return std::exchange(out_, {});
}

Outcome Walk::finish(const View& view) {
  leave_queued("not-due", "comes after the last step");
  show(Finished{});
  step_ = 0;
  return stop(Signal::finished, "finished", view);
}

// Shows what is due, unless something was asked of the book first.
Outcome Walk::settle(const View& view) {
  if (out_.request) return std::exchange(out_, {});
  if (left_) return stop(Signal::left, "left", view);
  if (asked_ == Asked::nothing && step(view) == nullptr) return finish(view);
  if (asked_ == Asked::nothing && shown_step_ != step_) {
    show_step(view);
    if (asked_ == Asked::nothing) static_cast<void>(take_up_stroke(step_, view));
  }
  ground_ = ground(view);
  out_.more = !waiting_.empty() && !blocks(asked_);
  return std::exchange(out_, {});
}

Outcome Walk::start(record::Timestamp now, const View& view) {
  now_ = now;
  show(Start{});
  choose_next(view);
  return settle(view);
}

Outcome Walk::take(const Input& input, const View& view) {
  now_ = input.now;
  const auto* line = std::get_if<LineIn>(&input.what);
  const auto* notice = std::get_if<Notice>(&input.what);
  const bool ends = notice != nullptr && (*notice == Notice::ended || *notice == Notice::interrupted);
  if (!ends && !(line != nullptr && is_quit(line->text)) && ground(view) != ground_) {
    leave_ground(input, view);
    if (view.pass.abandoned && !ground_.abandoned)
      return stop(Signal::abandoned, "abandoned elsewhere", view);
    return settle(view);
  }
  if (line != nullptr) {
    take_line(*line, view);
    return settle(view);
  }
  switch (*notice) {
    case Notice::ended:
      return stop(Signal::ended, "end of input", view);
    case Notice::interrupted:
      return stop(Signal::interrupted, "interrupted", view);
    case Notice::tool_gone:
    case Notice::tool_back:
      break;
  }
  show(ToolNotice{*notice == Notice::tool_gone});
  return settle(view);
}

Outcome Walk::go_on(record::Timestamp now, const View& view) {
  LineIn line = std::move(waiting_.front());
  waiting_.pop_front();
  return take({now, std::move(line)}, view);
}

Outcome Walk::answered(const Answer& answer, const View& view) {
  const Filed filed = *std::exchange(filed_, std::nullopt);
  const plan::Step* at = review::step_numbered(view.pass, filed.step);
  switch (filed.what) {
    case Filed::What::reading:
      last_ = Last{answer.event->seq,   filed.step,       filed.reading.value, filed.reading.also,
                   filed.reading.first, answer.event->at, filed.words};
      show(Recorded{answer});
      after_reading(*at, answer, view);
      break;
    case Filed::What::gate:
      last_.reset();
      show(Recorded{answer});
      judged_ = answer.event->seq;
      ask_or_go_on(answer, {}, view);
      break;
    case Filed::What::restored:
    case Filed::What::voided:
    case Filed::What::doubt:
    case Filed::What::doubt_voided:
    case Filed::What::note:
      after_amendment(filed, answer, view);
      break;
  }
  return settle(view);
}

Outcome Walk::refused(const text::Diagnostic& diagnostic, const View& view) {
  const Filed filed = *std::exchange(filed_, std::nullopt);
  show(Refused{filed.words, diagnostic});
  return settle(view);
}

namespace {

// What was asked of the book, and what follows from its answer.
Outcome follow(OpenBook& book, Walk& walk, Outcome outcome) {
  while (outcome.request) {
    Outcome next;
    try {
      const Answer answer = book.file(*outcome.request);
      next = walk.answered(answer, book.view(walk.pass()));
    } catch (const InputError& e) {
      next = walk.refused(e.diagnostics().front(), book.view(walk.pass()));
    }
    std::move(next.items.begin(), next.items.end(), std::back_inserter(outcome.items));
    outcome.request = std::move(next.request);
    outcome.signal = next.signal;
    outcome.more = next.more;
  }
  book.release();
  return outcome;
}

}  // namespace

Outcome turn(OpenBook& book, Walk& walk, Happened happened) {
  static_cast<void>(book.resume());
  const Input input{book.now(), std::move(happened)};
  return follow(book, walk, walk.take(input, book.view(walk.pass())));
}

Outcome go_on(OpenBook& book, Walk& walk) {
  static_cast<void>(book.resume());
  return follow(book, walk, walk.go_on(book.now(), book.view(walk.pass())));
}

Outcome start(OpenBook& book, Walk& walk) {
  return follow(book, walk, walk.start(book.now(), book.view(walk.pass())));
}

}  // namespace clampbook::bench
