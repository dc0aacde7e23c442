// Which step is due in the guide, and whether it still is when the answer comes.
#include "cli/guide.h"
#include "cli/selection.h"

#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::cli {

using plan::Step;
using review::Progress;

std::set<std::string> Guide::waiting_bolts(Due due) {
  std::set<std::string> out;
  if (due == Due::sound)
    for (const auto& [bolt, doubts] : pass().unresolved) out.insert(bolt);
  const Progress progress(pass());
  for (const int number : skipped_) {
    const Step* step = due != Due::all && !progress.filled(number) ? progress.find(number) : nullptr;
    if (step != nullptr && step->bolt) out.insert(*step->bolt);
  }
  return out;
}

int Guide::next_step(Due due) {
  const Progress progress(pass());
  const std::set<std::string> waiting = waiting_bolts(due);
  for (const Step& step : pass().plan.steps) {
    const bool put_off = due != Due::all && skipped_.contains(step.step);
    const bool waits = step.bolt && waiting.contains(*step.bolt);
    if (!progress.filled(step.step) && !put_off && !waits) return step.step;
  }
  return 0;
}

void Guide::choose_next() {
  question_ = Question::none;
  taken_up_ = false;
  shown_step_ = 0;
  step_ = next_step(Due::sound);
  if (step_ == 0) step_ = next_step(Due::not_put_off);
  if (step_ != 0) return;
  skipped_.clear();  // nothing else is due
  step_ = next_step(Due::all);
}

Guide::Ground Guide::ground() {
  Ground out{.abandoned = pass().abandoned};
  const review::Entry* asked = question_ != Question::none ? review::entry_on(pass(), judged_) : nullptr;
  out.asked = asked != nullptr && !asked->voided_by;
  const Step* step = current();
  if (step == nullptr) return out;
  const review::Entry* standing = Progress(pass()).standing(step_);
  out.standing = standing != nullptr ? standing->seq : 0;
  if (!step->bolt) return out;
  out.fittings = static_cast<std::size_t>(
      std::count_if(pass().fittings.begin(), pass().fittings.end(),
                    [&](const review::Fitting& f) { return f.bolt == *step->bolt; }));
  const auto doubts = pass().unresolved.find(*step->bolt);
  if (doubts != pass().unresolved.end()) out.doubts = doubts->second.size();
  return out;
}

void Guide::leave_ground(const Happening& happening) {
  const std::string_view why =
      pass().abandoned ? "was sent when the pass had been abandoned elsewhere"
                       : "was sent when the book had been written to elsewhere: look what is due now";
  const auto leave = [&](const std::string& words) { unread(words, "changed-elsewhere", why); };
  if (held_) leave(held_words_);
  held_.reset();
  if (happening.kind == Happening::Kind::typed || happening.kind == Happening::Kind::wrench)
    leave(happening.text);
  else
    tell_wrench(happening.kind);
  leave_queued("changed-elsewhere", why);
  last_.reset();
  choose_next();
}

void Guide::go_to(const std::string& bolt) {
  try {
    require_bolt(pass(), bolt);
  } catch (const InputError& e) {
    complain("b " + bolt, e.diagnostics().front());
    return;
  }
  const Progress progress(pass());
  const Step* here = progress.find(step_);
  const Step* due = progress.due_for(bolt);
  const Step* done = nullptr;  // its last entry
  for (const std::size_t position : pass().index.turning(bolt))
    if (const Step& step = pass().plan.steps[position]; progress.filled(step.step)) done = &step;
  choose_next();
  // A bolt that has its reading is not brought to the next stage before the others, nor one that fell short.
  const bool in_turn =
      due != nullptr && (here == nullptr || due->step <= here->step || due->stage == here->stage ||
                         (done != nullptr && due->step < done->step));
  const bool short_of = done != nullptr && only_low(done->step) && (due == nullptr || due->step > done->step);
  if (due != nullptr && (done == nullptr || (in_turn && !short_of))) {
    step_ = due->step;
    skipped_.erase(step_);
    return;
  }
  if (done == nullptr) return;  // it has no step: refused above
  step_ = done->step;
  if (short_of) return;  // it is pulled on
  if (take_up_companion(*done)) return;
  const std::string next =
      due != nullptr ? fmt::format("; stage {} comes for all bolts together", due->stage) : std::string();
  paragraph(fmt::format(
      "bolt {} has its entry at step {}: line {}{}. A reading here counts as a second one; s leaves "
      "it as it is",
      text::printable(bolt), step_, progress.standing(step_)->seq, next));
}

// The final torque of an angle that was read alone may still be read.
bool Guide::take_up_companion(const Step& step) {
  const review::Entry* standing = Progress(pass()).standing(step.step);
  if (!asks_ || !wants_companion(step) || standing == nullptr || standing->also || !standing->value)
    return false;
  shown_step_ = step.step;
  last_ = Last{standing->seq,   step.step,    standing->given, std::nullopt,
               standing->value, standing->at, standing->given};
  judged_ = standing->seq;
  paragraph(fmt::format("bolt {} has its angle at step {}: line {}", text::printable(*step.bolt), step.step,
                        standing->seq));
  question_ = Question::companion;
  taken_up_ = true;
  return true;
}

void Guide::skip() {
  skipped_.insert(step_);
  choose_next();
}

}  // namespace clampbook::cli
