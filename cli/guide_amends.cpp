// What the guide is told without a tool: that a line does not count, that a bolt is in doubt.
#include "cli/guide.h"

#include <clampbook/report/pass_text.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace clampbook::cli {

using plan::Step;
using review::Progress;

void Guide::amend(record::Line line, std::string_view what, const std::string& why) {
  record::Draft draft{context_.now(), std::move(line)};
  if (const auto by = arguments_.value("--by")) draft.remarks.by = text::as_utf8(*by);
  if (!why.empty()) {
    const bool note = std::holds_alternative<record::Note>(draft.line);
    (note ? draft.remarks.note : draft.remarks.because) = text::as_utf8(why);
  }
  const Recorded recorded = session_.record(pass(), draft, context_.now());
  if (context_.json) {
    tell(recorded);
  } else {
    paragraph(fmt::format("recorded {}: {}", recorded.event->seq, what));
    if (recorded.event->kind() == "unsure") say(report::findings_text(recorded.findings, style()));
  }
}

// Readings that came while somebody was asked were meant for the bolts behind; once a line is taken back,
// nobody knows which.
void Guide::leave_waiting(std::string_view why) {
  for (const Happening& waiting : waiting_) unread(waiting.text, "unanswered", why);
  waiting_.clear();
}

void Guide::take_back(std::int64_t line, const std::string& why) {
  leave_waiting("came before a line was taken back: whose reading it is can't be told, read it again");
  const review::Entry* entry = review::entry_on(pass(), line);
  if (entry == nullptr || entry->voided_by) return;
  const int step = entry->step;
  if (restore_before(*entry)) return;
  amend(record::Void{pass_number_, line}, fmt::format("line {} does not count", line), why);
  last_.reset();
  choose_next();
  if (!Progress(pass()).filled(step)) {
    step_ = step;
  } else {
    static_cast<void>(take_up_stroke(step));  // an entry before it still counts
  }
}

// The line whose words it is: a line that stands again says an older one's.
const review::Entry* Guide::origin_of(const review::Entry* entry) {
  while (entry != nullptr && entry->restores && *entry->restores < entry->seq) {
    const review::Entry* older = review::entry_on(pass(), *entry->restores);
    if (older == nullptr) break;
    entry = older;
  }
  return entry;
}

// A stroke, or a final torque, that is taken back leaves what came before it: voided alone, it would leave
// the step open in full, though the bolt has been turned. The older line is said again word for word.
bool Guide::restore_before(const review::Entry& entry) {
  const std::int64_t line = entry.seq;
  const review::Entry* origin = origin_of(&entry);
  const review::Entry* before =
      origin->corrects ? origin_of(review::entry_on(pass(), *origin->corrects)) : nullptr;
  const Step* step = Progress(pass(), true).find(entry.step);
  if (before == nullptr || before->seq >= line || before->step != entry.step || before->kind != "reading" ||
      before->past_piece || step == nullptr || !step->bolt)
    return false;
  const std::int64_t older = before->seq;
  const record::Event* event = record::event_on(session_.book().book(), older);
  const auto* reading = event != nullptr ? std::get_if<record::Reading>(&event->line) : nullptr;
  if (reading == nullptr) return false;
  record::Reading again = *reading;
  again.corrects = line;
  again.restores = older;
  record::Remarks remarks = *event->remarks;
  remarks.key.reset();
  remarks.typed.reset();
  step_ = step->step;
  paragraph(fmt::format("line {} stands again", older));
  const Recorded recorded =
      session_.record(pass(), {event->at, std::move(again), std::move(remarks)}, context_.now());
  const review::Entry& standing = *review::entry_on(pass(), recorded.event->seq);
  last_ = Last{standing.seq, step->step,    standing.given, std::nullopt, as_shown(standing.value),
               standing.at,  standing.given};
  if (standing.also) last_->also = units::print(*standing.also);
  tell(recorded);
  after_reading(*step, recorded);
  return true;
}

// The last word that was recorded: an entry or a doubt. A note stays, and says so once.
void Guide::undo(const std::string& why) {
  if (std::exchange(noted_, false)) {
    paragraph("a note stays as it is; u again takes back what came before it");
    return;
  }
  const auto& entries = pass().entries;
  const auto last = std::find_if(entries.rbegin(), entries.rend(),
                                 [](const review::Entry& e) { return !e.voided_by && !e.past_piece; });
  const auto& doubts = pass().doubts;
  const auto doubted = std::find_if(doubts.rbegin(), doubts.rend(), [&](const review::Doubt& d) {
    return !d.resolved && pass().unresolved.contains(d.bolt);  // nor accepted
  });
  if (doubted != doubts.rend() && (last == entries.rend() || doubted->seq > last->seq)) {
    const std::int64_t line = doubted->seq;
    amend(record::Void{pass_number_, line},
          fmt::format("bolt {} is no longer in doubt", text::printable(doubted->bolt)), why);
    choose_next();
    return;
  }
  if (last == entries.rend()) {
    paragraph("nothing is recorded that could be undone");
    return;
  }
  paragraph(fmt::format("line {}, step {}", last->seq, last->step));
  take_back(last->seq, why);
}

void Guide::doubt(const std::string& word) {
  const Step& step = *current();
  const std::string bolt = !word.empty() ? word : step.bolt ? *step.bolt : step.label.value_or("");
  const std::optional<int> place = place_in_doubt(bolt);
  if (!place) {
    paragraph(bolt.empty() ? "d and the bolt's id, for example: d 3"
                           : fmt::format("bolt {} has no step in this pass", text::printable(bolt)));
    return;
  }
  noted_ = false;
  const Step& doubted = *Progress(pass(), true).find(*place);
  amend(record::Unsure{{pass_number_, doubted.step, doubted.stage, bolt}},
        fmt::format("bolt {} is in doubt", text::printable(bolt)));
  ring(kStop);
  choose_next();
}

std::optional<int> Guide::place_in_doubt(const std::string& bolt) {
  const Progress progress(pass());
  if (const Step* due = progress.due_for(bolt)) return due->step;
  const auto& steps = pass().index.turning(bolt);
  return steps.empty() ? std::nullopt : std::optional(pass().plan.steps[steps.back()].step);
}

}  // namespace clampbook::cli
