// What the guide records, and what it asks about it afterwards.
#include "cli/guide.h"
#include "cli/selection.h"

#include <clampbook/plan/tools.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace clampbook::cli {

namespace {

using plan::StageKind;
using plan::Step;
using review::Finding;
using review::Progress;
using text::Json;
using units::Dimension;
using units::Measured;

constexpr std::int64_t kRepeat = 2000;  // ms within which the same value may be the same pull told twice

// Findings about a reading that somebody should look at before going on.
constexpr std::array<std::string_view, 7> kAsked{"low",         "high",        "unit-slip",       "doubled",
                                                 "measure-out", "count-short", "final-torque-out"};

}  // namespace

const units::Unit* Guide::bare_unit(const Step& step) const {
  const auto dimension = step.reading_dimension();
  if (dimension == Dimension::angle) return &units::degree_unit();
  if (dimension != Dimension::torque) return nullptr;
  return tool_ != nullptr && tool_->unit != nullptr ? tool_->unit : unit_;
}

// The book's line must say its unit by itself.
std::string Guide::with_unit(const Step& step, const std::string& words) const {
  const units::Unit* unit = bare_unit(step);
  const bool bare = !words.empty() && words.back() >= '0' && words.back() <= '9';
  return unit != nullptr && bare ? units::with_unit(words, *unit) : words;
}

// A gauge was not what a torque was read from, nor a wrench what a gate was done with; a wrench may count
// degrees, too.
bool Guide::measures(const std::string& tool, const Step& step) {
  const auto among = [&](const std::vector<schedule::Gauge>& gauges) {
    return std::any_of(gauges.begin(), gauges.end(),
                       [&](const schedule::Gauge& g) { return g.name == tool; });
  };
  const auto& tools = pass().tools;
  if (!tools) return true;
  const auto dimension = step.reading_dimension();
  if (among(tools->angle_gauges)) return dimension == Dimension::angle;
  if (among(tools->length_gauges)) return dimension == Dimension::length || step.kind == StageKind::measure;
  return !step.is_gate() && dimension.has_value();
}

Arguments Guide::entry_arguments(const Step& step) {
  Arguments out;
  out.set_option("--pass", fmt::format("{}", pass_number_));
  out.set_option("--stage", fmt::format("{}", step.stage));
  if (const auto by = arguments_.value("--by")) out.set_option("--by", *by);
  if (const auto tool = arguments_.value("--tool"); tool && measures(*tool, step))
    out.set_option("--tool", *tool);
  return out;
}

std::optional<Recorded> Guide::file(const Arguments& entry, const std::string& words) {
  noted_ = false;
  try {
    return file_entry(session_, entry, read_call(entry, context_.now()));
  } catch (const InputError& e) {
    complain(words, e.diagnostics().front());
    return std::nullopt;
  }
}

void Guide::record(const Step& step, const Reading& reading, std::optional<std::int64_t> corrects,
                   const std::string& words) {
  Arguments entry = entry_arguments(step);
  entry.set_operand("BOLT", *step.bolt);
  entry.set_operand("VALUE", reading.value);
  if (reading.also) entry.set_option("--also", *reading.also);
  if (corrects) entry.set_option("--correct", fmt::format("{}", *corrects));
  const std::optional<Recorded> recorded = file(entry, words);
  if (!recorded) return;
  last_ = Last{recorded->event->seq, step.step,           reading.value, reading.also,
               reading.first,        recorded->event->at, words};
  tell(*recorded);
  after_reading(step, *recorded);
}

void Guide::record_gate(const Step& step, std::string_view option, const std::string& value) {
  Arguments entry = entry_arguments(step);
  entry.set_option(option, value);
  if (step.label) entry.set_option("--label", *step.label);
  const std::optional<Recorded> recorded = file(entry, value);
  if (!recorded) return;
  last_.reset();
  tell(*recorded);
  judged_ = recorded->event->seq;
  ask_or_go_on(*recorded, {});
}

// What was found on the line itself is asked about; what else it brought is only shown.
void Guide::ask_or_go_on(const Recorded& recorded, const std::vector<std::string_view>& left_out) {
  std::vector<Finding> shown;
  bool asked = false;
  const std::set<std::string> waiting = waiting_bolts(Due::sound);
  for (const Finding& f : recorded.findings) {
    if (std::find(left_out.begin(), left_out.end(), f.slug) != left_out.end()) continue;
    if (!f.seq && ((f.step && skipped_.contains(*f.step)) || (f.bolt && waiting.contains(*f.bolt))))
      continue;                           // put off on purpose
    if (f.slug == "corrected") continue;  // the line before it has just been read out
    shown.push_back(f);
    asked = asked ||
            (f.seq == recorded.event->seq && std::find(kAsked.begin(), kAsked.end(), f.slug) != kAsked.end());
  }
  say(report::findings_text(shown, style()));
  const bool off = review::falls_short(shown);
  ring(off ? kStop : kAccepted);
  if (asked && asks_) {
    question_ = Question::keep;
  } else {
    choose_next();
  }
}

void Guide::after_reading(const Step& step, const Recorded& recorded) {
  judged_ = recorded.event->seq;
  const auto found = [&](std::string_view slug) {
    return std::any_of(recorded.findings.begin(), recorded.findings.end(),
                       [&](const Finding& f) { return f.slug == slug && f.seq == recorded.event->seq; });
  };
  const bool outside = found("high") || found("unit-slip") || found("doubled");
  if (found("low") && !outside && (asks_ || wrench_)) {
    below_the_window(step);
    return;
  }
  // The final torque may still come; what is missing now is no finding yet.
  const bool companion = wants_companion(step) && !last_->also && !outside;
  if (companion && asks_) {
    ring(kAccepted);
    question_ = Question::companion;
    return;
  }
  if (companion) {
    ask_or_go_on(recorded, {"final-torque-out"});
    return;
  }
  ask_or_go_on(recorded, {});
}

// A ratchet's strokes come one by one, each of them below the window until the last.
void Guide::below_the_window(const Step& step) {
  question_ = Question::go_on;
  const review::Entry* entry = review::entry_on(pass(), last_->seq);
  if (entry == nullptr || !entry->value || !step.low || !step.target) return;
  if (!wrench_) ring(kStop);
  const units::Unit& unit = step.target->unit();
  const double missing = step.target->in(unit)-step.tightening_part(*entry->value).in(unit);
  paragraph(fmt::format("below the window {}: {} to go", units::format_range(*step.low, *step.high, unit),
                        units::format(Measured(missing, unit))));
}

// What the wrench in hand would show of a torque at the bolt: the next pull is compared with that.
std::optional<Measured> Guide::as_shown(const std::optional<Measured>& value) const {
  if (!value || tool_ == nullptr || value->dimension() != Dimension::torque) return value;
  return Measured(
      units::value_in(plan::setting_of(*tool_, units::to<joint::Torque>(*value)), units::newton_metre),
      units::newton_metre_unit());
}

bool Guide::only_low(int step) {
  const Progress progress(pass());
  const review::Entry* standing = progress.standing(step);
  const Step* place = progress.find(step);
  // Not after later stages, nor while the bolt is in doubt.
  if (standing == nullptr || !place->bolt || progress.highest_filled(&*place->bolt) > step ||
      pass().unresolved.contains(*place->bolt))
    return false;
  bool low = false, other = false;
  for (const Finding& f : session_.findings(pass())) {
    if (f.seq != standing->seq || f.accepted) continue;
    low = low || f.slug == "low";
    other = other || f.slug == "doubled" || f.slug == "angle-without-torque";
  }
  return low && !other;
}

bool Guide::take_up_stroke(int step) {
  if (!(asks_ || wrench_) || !only_low(step)) return false;
  const Progress progress(pass());
  const review::Entry& standing = *progress.standing(step);
  const Step& open = *progress.find(step);
  step_ = shown_step_ = step;
  last_ = Last{standing.seq, step,          standing.given, std::nullopt, as_shown(standing.value),
               standing.at,  standing.given};
  judged_ = standing.seq;
  below_the_window(open);
  taken_up_ = true;
  return true;
}

void Guide::take_reading(Reading reading, const std::string& words, bool sure) {
  const Step& step = *current();
  if (!sure && is_repeat(reading, words)) {
    if (!asks_) {
      unread(words, "repeat", "is the same value within 2 s: told twice, or a second reading?");
      return;
    }
    ring(kStop);
    held_ = std::move(reading);
    held_words_ = words;
    held_question_ = question_;
    question_ = Question::repeat;
    return;
  }
  std::optional<std::int64_t> corrects;
  const bool stroke = question_ == Question::go_on && last_ && last_->step == step.step;
  if (stroke && reading.first && last_->first && reading.first->dimension() == last_->first->dimension()) {
    if (step.kind == StageKind::angle) {
      reading.value = last_->value + "+" + reading.value;  // an angle counts from the rest position
      corrects = last_->seq;
    } else if (reading.first->si() > last_->first->si()) {
      corrects = last_->seq;  // the same bolt, pulled on
    }
  }
  record(step, reading, corrects, words);
}

bool Guide::is_repeat(const Reading& reading, const std::string& words) const {
  if (!last_) return false;
  const std::int64_t since = context_.now().milliseconds - last_->at.milliseconds;
  if (since < 0 || since >= kRepeat) return false;
  if (reading.first && last_->first)
    return reading.first->dimension() == last_->first->dimension() &&
           reading.first->si() == last_->first->si();
  return words == last_->words;
}

// The final torque of the angle that was recorded last: both in one line of the book, which corrects the
// first.
void Guide::take_companion(const Measured& value, const std::string& words) {
  const Step& step = *Progress(pass(), true).find(last_->step);
  Reading reading{last_->value, units::print(value), last_->first};
  step_ = step.step;
  record(step, reading, last_->seq, words);
}

// --- what no tool says

void Guide::amend(std::string_view kind, std::string_view what, Json::Object members) {
  record::NewEvent event{context_.now(), std::string(kind), {{"pass", pass_number_}}};
  for (auto& member : members) event.members.push_back(std::move(member));
  if (const auto by = arguments_.value("--by")) event.members.emplace_back("by", *by);
  const Recorded recorded = session_.record(pass(), event, context_.now());
  if (context_.json) {
    tell(recorded);
  } else {
    paragraph(fmt::format("recorded {}: {}", recorded.event->seq, what));
    if (kind == "unsure") say(report::findings_text(recorded.findings, style()));
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
  Json::Object members{{"voids", line}};
  if (!why.empty()) members.emplace_back("because", why);
  amend("void", fmt::format("line {} does not count", line), std::move(members));
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
  const auto& events = session_.book().book().events;
  const auto event =
      std::find_if(events.begin(), events.end(), [&](const record::Event& e) { return e.seq == older; });
  if (event == events.end()) return false;
  static constexpr std::array<std::string_view, 10> kOfTheLine{
      "seq", "written", "at", "kind", "after", "seal", "mends", "corrects", "restores", "typed"};
  static constexpr std::array<std::string_view, 4> kRemarks{"tool", "by", "note", "because"};
  const auto among = [](const auto& list, std::string_view key) {
    return std::find(list.begin(), list.end(), key) != list.end();
  };
  record::NewEvent again{event->at, "reading"};
  Json::Object remarks;
  for (const auto& [key, value] : *event->body.as_object()) {
    if (key == "key" || among(kOfTheLine, key)) continue;
    (among(kRemarks, key) ? remarks : again.members).emplace_back(key, value);
  }
  again.members.emplace_back("corrects", line);
  again.members.emplace_back("restores", older);
  for (auto& remark : remarks) again.members.push_back(std::move(remark));
  step_ = step->step;
  paragraph(fmt::format("line {} stands again", older));
  const Recorded recorded = session_.record(pass(), again, context_.now());
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
    Json::Object members{{"voids", line}};
    if (!why.empty()) members.emplace_back("because", why);
    amend("void", fmt::format("bolt {} is no longer in doubt", text::printable(doubted->bolt)),
          std::move(members));
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
  amend("unsure", fmt::format("bolt {} is in doubt", text::printable(bolt)),
        {{"step", doubted.step}, {"stage", doubted.stage}, {"bolt", bolt}});
  ring(kStop);
  choose_next();
}

std::optional<int> Guide::place_in_doubt(const std::string& bolt) {
  const Progress progress(pass());
  if (const Step* due = progress.due_for(bolt)) return due->step;
  const auto& steps = pass().index.turning(bolt);
  return steps.empty() ? std::nullopt : std::optional(pass().plan.steps[steps.back()].step);
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
