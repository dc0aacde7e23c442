// What is recorded, and what is asked about it afterwards.
#include <clampbook/bench/walk.h>
#include <clampbook/plan/tools.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace clampbook::bench {

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

const units::Unit* Walk::bare_unit(const Step& step) const {
  const auto dimension = step.reading_dimension();
  if (dimension == Dimension::angle) return &units::degree_unit();
  if (dimension != Dimension::torque) return nullptr;
  return settings_.wrench && settings_.wrench->unit != nullptr ? settings_.wrench->unit : settings_.unit;
}

// The book's line must say its unit by itself.
std::string Walk::with_unit(const Step& step, const std::string& words) const {
  const units::Unit* unit = bare_unit(step);
  const bool bare = !words.empty() && words.back() >= '0' && words.back() <= '9';
  return unit != nullptr && bare ? units::with_unit(words, *unit) : words;
}

// A gauge was not what a torque was read from, nor a wrench what a gate was done with; a wrench may count
// degrees, too.
bool Walk::measures(const std::string& tool, const Step& step, const View& view) const {
  const auto among = [&](const std::vector<schedule::Gauge>& gauges) {
    return std::any_of(gauges.begin(), gauges.end(),
                       [&](const schedule::Gauge& g) { return g.name == tool; });
  };
  const auto& tools = view.pass.tools;
  if (!tools) return true;
  const auto dimension = step.reading_dimension();
  if (among(tools->angle_gauges)) return dimension == Dimension::angle;
  if (among(tools->length_gauges)) return dimension == Dimension::length || step.kind == StageKind::measure;
  return !step.is_gate() && dimension.has_value();
}

EntryRequest Walk::entry_at(const Step& step, const View& view) const {
  EntryRequest out;
  out.pass = Word{"--pass", fmt::format("{}", pass_)};
  out.step = step.step;
  out.stage = Word{"--stage", fmt::format("{}", step.stage)};
  out.words.by = settings_.by;
  if (settings_.tool && measures(*settings_.tool, step, view)) out.tool = Word{"--tool", *settings_.tool};
  return out;
}

void Walk::record(const Step& step, Reading reading, std::optional<std::int64_t> corrects,
                  const std::string& words, const View& view) {
  EntryRequest entry = entry_at(step, view);
  entry.bolt = Word{"BOLT", *step.bolt};
  entry.value = Word{"VALUE", reading.value};
  if (reading.also) entry.also = Word{"--also", *reading.also};
  if (corrects) entry.correct = Word{"--correct", fmt::format("{}", *corrects)};
  noted_ = false;
  filed_ = Filed{Filed::What::reading, step.step, std::move(reading), words};
  out_.request = std::move(entry);
}

void Walk::record_gate(const Step& step, EntryRequest entry, const std::string& words) {
  if (step.label) entry.label = Word{"--label", *step.label};
  noted_ = false;
  filed_ = Filed{Filed::What::gate, step.step, {}, words};
  out_.request = std::move(entry);
}

// What was found on the line itself is asked about; what else it brought is only shown.
void Walk::ask_or_go_on(const Answer& answer, const std::vector<std::string_view>& left_out,
                        const View& view) {
  std::vector<Finding> shown;
  bool asked = false;
  const std::set<std::string> waiting = waiting_bolts(DueOf::sound, view);
  for (const Finding& f : answer.findings) {
    if (std::find(left_out.begin(), left_out.end(), f.slug) != left_out.end()) continue;
    if (!f.seq && ((f.step && skipped_.contains(*f.step)) || (f.bolt && waiting.contains(*f.bolt))))
      continue;                           // put off on purpose
    if (f.slug == "corrected") continue;  // the line before it has just been read out
    shown.push_back(f);
    asked = asked ||
            (f.seq == answer.event->seq && std::find(kAsked.begin(), kAsked.end(), f.slug) != kAsked.end());
  }
  const bool off = review::falls_short(shown);
  show(Found{std::move(shown)});
  ring(off ? kStop : kAccepted);
  if (asked && settings_.somebody_answers) {
    asked_ = Asked::keep;
  } else {
    choose_next(view);
  }
}

void Walk::after_reading(const Step& step, const Answer& answer, const View& view) {
  judged_ = answer.event->seq;
  const auto found = [&](std::string_view slug) {
    return std::any_of(answer.findings.begin(), answer.findings.end(),
                       [&](const Finding& f) { return f.slug == slug && f.seq == answer.event->seq; });
  };
  const bool outside = found("high") || found("unit-slip") || found("doubled");
  if (found("low") && !outside && (settings_.somebody_answers || settings_.wrench_sends)) {
    below_the_window(step, view);
    return;
  }
  // The final torque may still come; what is missing now is no finding yet.
  const bool companion = wants_companion(step) && !last_->also && !outside;
  if (companion && settings_.somebody_answers) {
    ring(kAccepted);
    asked_ = Asked::companion;
    return;
  }
  if (companion) {
    ask_or_go_on(answer, {"final-torque-out"}, view);
    return;
  }
  ask_or_go_on(answer, {}, view);
}

// A ratchet's strokes come one by one, each of them below the window until the last.
void Walk::below_the_window(const Step& step, const View& view) {
  asked_ = Asked::go_on;
  const review::Entry* entry = review::entry_on(view.pass, last_->seq);
  if (entry == nullptr || !entry->value || !step.low || !step.target) return;
  if (!settings_.wrench_sends) ring(kStop);
  const units::Unit& unit = step.target->unit();
  const double missing = step.target->in(unit)-step.tightening_part(*entry->value).in(unit);
  show(ToGo{step.low->converted_to(unit), step.high->converted_to(unit), Measured(missing, unit)});
}

// What the wrench in hand would show of a torque at the bolt: the next pull is compared with that.
std::optional<Measured> Walk::as_shown(const std::optional<Measured>& value) const {
  if (!value || !settings_.wrench || value->dimension() != Dimension::torque) return value;
  return Measured(units::value_in(plan::setting_of(*settings_.wrench, units::to<joint::Torque>(*value)),
                                  units::newton_metre),
                  units::newton_metre_unit());
}

bool Walk::only_low(int step, const View& view) const {
  const Progress progress(view.pass);
  const review::Entry* standing = progress.standing(step);
  const Step* place = progress.find(step);
  // Not after later stages, nor while the bolt is in doubt.
  if (standing == nullptr || !place->bolt || progress.highest_filled(&*place->bolt) > step ||
      view.pass.unresolved.contains(*place->bolt))
    return false;
  bool low = false, other = false;
  for (const Finding& f : view.findings) {
    if (f.seq != standing->seq || f.accepted) continue;
    low = low || f.slug == "low";
    other = other || f.slug == "doubled" || f.slug == "angle-without-torque";
  }
  return low && !other;
}

bool Walk::take_up_stroke(int step, const View& view) {
  if (!(settings_.somebody_answers || settings_.wrench_sends) || !only_low(step, view)) return false;
  const Progress progress(view.pass);
  const review::Entry& standing = *progress.standing(step);
  const Step& open = *progress.find(step);
  step_ = shown_step_ = step;
  last_ = Last{standing.seq, step,          standing.given, std::nullopt, as_shown(standing.value),
               standing.at,  standing.given};
  judged_ = standing.seq;
  below_the_window(open, view);
  taken_up_ = true;
  return true;
}

void Walk::take_reading(Reading reading, const std::string& words, bool sure, const View& view) {
  const Step& due = *step(view);
  if (!sure && is_repeat(reading, words)) {
    if (!settings_.somebody_answers) {
      unread(words, "repeat", "is the same value within 2 s: told twice, or a second reading?");
      return;
    }
    ring(kStop);
    held_ = std::move(reading);
    held_words_ = words;
    held_asked_ = asked_;
    asked_ = Asked::repeat;
    return;
  }
  std::optional<std::int64_t> corrects;
  const bool stroke = asked_ == Asked::go_on && last_ && last_->step == due.step;
  if (stroke && reading.first && last_->first && reading.first->dimension() == last_->first->dimension()) {
    if (due.kind == StageKind::angle) {
      reading.value = last_->value + "+" + reading.value;  // an angle counts from the rest position
      corrects = last_->seq;
    } else if (reading.first->si() > last_->first->si()) {
      corrects = last_->seq;  // the same bolt, pulled on
    }
  }
  record(due, std::move(reading), corrects, words, view);
}

bool Walk::is_repeat(const Reading& reading, const std::string& words) const {
  if (!last_) return false;
  const std::int64_t since = now_.milliseconds - last_->at.milliseconds;
  if (since < 0 || since >= kRepeat) return false;
  if (reading.first && last_->first)
    return reading.first->dimension() == last_->first->dimension() &&
           reading.first->si() == last_->first->si();
  return words == last_->words;
}

// The final torque of the angle that was recorded last: both in one line of the book, which corrects the
// first.
void Walk::take_companion(const Measured& value, const std::string& words, const View& view) {
  const Step& step = *review::step_numbered(view.pass, last_->step);
  step_ = step.step;
  record(step, {last_->value, units::print(value), last_->first}, last_->seq, words, view);
}

}  // namespace clampbook::bench
