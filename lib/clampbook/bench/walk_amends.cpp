// What is told without a tool: that a line does not count, that a bolt is in doubt.
#include <clampbook/bench/amend.h>
#include <clampbook/bench/walk.h>
#include <clampbook/text/utf8.h>

#include <algorithm>
#include <utility>

namespace clampbook::bench {

using plan::Step;
using review::Progress;

void Walk::amend(Filed filed, record::Line line, const std::string& why) {
  record::Draft draft{now_, std::move(line)};
  if (settings_.by) draft.remarks.by = text::as_utf8(*settings_.by);
  if (!why.empty()) {
    const bool note = std::holds_alternative<record::Note>(draft.line);
    (note ? draft.remarks.note : draft.remarks.because) = text::as_utf8(why);
  }
  filed_ = std::move(filed);
  out_.request = std::move(draft);
}

void Walk::after_amendment(const Filed& filed, const Answer& answer, const View& view) {
  switch (filed.what) {
    case Filed::What::restored: {
      const review::Entry& standing = *review::entry_on(view.pass, answer.event->seq);
      last_ = Last{standing.seq, filed.step,    standing.given, std::nullopt, as_shown(standing.value),
                   standing.at,  standing.given};
      if (standing.also) last_->also = units::print(*standing.also);
      show(Recorded{answer});
      after_reading(*review::step_numbered(view.pass, filed.step), answer, view);
      return;
    }
    case Filed::What::voided:
      show(Recorded{answer});
      last_.reset();
      choose_next(view);
      if (!Progress(view.pass).filled(filed.step)) {
        step_ = filed.step;
      } else {
        static_cast<void>(take_up_stroke(filed.step, view));  // an entry before it still counts
      }
      return;
    case Filed::What::doubt_voided:
      show(Recorded{answer, filed.words});
      choose_next(view);
      return;
    case Filed::What::doubt:
      show(Recorded{answer});
      show(Found{answer.findings});
      ring(kStop);
      choose_next(view);
      return;
    case Filed::What::note:
      show(Recorded{answer});
      noted_ = true;
      return;
    case Filed::What::reading:
    case Filed::What::gate:
      return;
  }
}

// Readings that came while somebody was asked were meant for the bolts behind; once a line is taken back,
// nobody knows which.
void Walk::leave_waiting(std::string_view why) {
  for (const LineIn& line : waiting_) unread(line.text, "unanswered", why);
  waiting_.clear();
}

void Walk::take_back(std::int64_t line, const std::string& why, const View& view) {
  leave_waiting("came before a line was taken back: whose reading it is can't be told, read it again");
  const review::Entry* entry = review::entry_on(view.pass, line);
  if (entry == nullptr || entry->voided_by) return;
  if (auto again = restored(view.book, view.pass, *entry)) {
    step_ = entry->step;
    remark({Remark::About::stands_again, {}, *std::get<record::Reading>(again->line).restores});
    filed_ = Filed{Filed::What::restored, entry->step};
    out_.request = std::move(*again);
    return;
  }
  amend({Filed::What::voided, entry->step}, record::Void{pass_, line}, why);
}

// The last word that was recorded: an entry or a doubt. A note stays, and says so once.
void Walk::undo(const std::string& why, const View& view) {
  if (std::exchange(noted_, false)) {
    remark({Remark::About::note_stays});
    return;
  }
  const auto& entries = view.pass.entries;
  const auto last = std::find_if(entries.rbegin(), entries.rend(),
                                 [](const review::Entry& e) { return !e.voided_by && !e.past_piece; });
  const auto& doubts = view.pass.doubts;
  const auto doubted = std::find_if(doubts.rbegin(), doubts.rend(), [&](const review::Doubt& d) {
    return !d.resolved && view.pass.unresolved.contains(d.bolt);  // nor accepted
  });
  if (doubted != doubts.rend() && (last == entries.rend() || doubted->seq > last->seq)) {
    amend({Filed::What::doubt_voided, 0, {}, doubted->bolt}, record::Void{pass_, doubted->seq}, why);
    return;
  }
  if (last == entries.rend()) {
    remark({Remark::About::nothing_to_undo});
    return;
  }
  remark({Remark::About::takes_back, {}, last->seq, last->step});
  take_back(last->seq, why, view);
}

void Walk::doubt(const std::string& word, const View& view) {
  const Step& due = *step(view);
  const std::string bolt = !word.empty() ? word : due.bolt ? *due.bolt : due.label.value_or("");
  if (bolt.empty()) {
    remark({Remark::About::name_the_bolt_in_doubt});
  } else if (view.pass.index.turning(bolt).empty()) {
    remark({Remark::About::no_step_in_pass, bolt});
  } else {
    noted_ = false;
    amend({Filed::What::doubt}, doubt_about(view.pass, bolt));
  }
}

}  // namespace clampbook::bench
