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

namespace clampbook::cli {

namespace {

using plan::StageKind;
using plan::Step;
using review::Finding;
using review::Progress;
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

}  // namespace clampbook::cli
