#include "cli/guide.h"

#include "cli/selection.h"
#include "cli/terminal.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/tools.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/report/step_text.h>
#include <clampbook/review/doubt.h>
#include <clampbook/review/tool_check.h>
#include <clampbook/schedule/wrench_line.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <ostream>

namespace clampbook::cli {

namespace {

using plan::StageKind;
using plan::Step;
using review::Finding;
using review::Progress;
using schedule::WrenchLine;
using text::Json;
using units::Dimension;
using units::Measured;

constexpr std::int64_t kRepeat = 2000;   // ms within which the same value may be the same pull told twice
constexpr int kAccepted = 1, kStop = 3;  // bells

// Findings about a reading that somebody should look at before going on.
constexpr std::array<std::string_view, 7> kAsked{"low",         "high",        "unit-slip",       "doubled",
                                                 "measure-out", "count-short", "final-torque-out"};

std::string trimmed(std::string_view text) {
  const auto space = [](char c) { return c == ' ' || c == '\t'; };
  while (!text.empty() && space(text.front())) text.remove_prefix(1);
  while (!text.empty() && space(text.back())) text.remove_suffix(1);
  return std::string(text);
}

// A key alone, or a key with words behind it.
struct Key {
  char letter = '\0';
  std::string words{};
};

Key key_of(const std::string& line) {
  if (line.empty()) return {'\n'};
  if (line.size() > 1 && line[1] != ' ') return {};
  const char letter = static_cast<char>(line[0] >= 'A' && line[0] <= 'Z' ? line[0] + 32 : line[0]);
  if (std::string_view("ynbsudq?").find(letter) == std::string_view::npos) return {};
  return {letter, trimmed(line.substr(1))};
}

// For a line that no tool list explains.
schedule::TorqueWrench unknown_wrench() {
  const Measured one(1, units::newton_metre_unit());
  return {"", {}, {one, one}, Measured(1, units::percent_unit())};
}

bool wants_companion(const Step& step) {
  return step.final_torque && step.kind != StageKind::yield;
}

}  // namespace

Guide::Guide(Session& session, const Arguments& arguments, Context& context, GuideInput& input)
    : session_(session), arguments_(arguments), context_(context), input_(input) {
  const review::Pass& chosen =
      select_pass(session_.passes(), arguments_, PassFor::writing, session_.book_name());
  pass_number_ = chosen.number;
  asks_ = input_is_a_terminal() && !context_.json;
  rings_ = output_is_a_terminal() && !context_.json;
  wrench_ = arguments_.has("--wrench");
  if (const schedule::TorqueWrench* wrench = find_wrench(chosen, arguments_)) kept_tool_ = *wrench;
  tool_ = kept_tool_ ? &*kept_tool_ : nullptr;
  if (const auto word = arguments_.value("--unit")) {
    unit_ = units::find_unit(*word);
    const text::Location at = whole(argument("--unit", *word));
    if (unit_ == nullptr)
      throw InputError(text::Diagnostic{"unknown-unit", fmt::format("'{}' is no unit", *word),
                                        units::unit_help(*word), at});
    if (unit_->dimension != Dimension::torque)
      throw InputError(text::Diagnostic{
          "wrong-dimension", fmt::format("{} is a unit of {}", *word, units::name(unit_->dimension)),
          "--unit is for bare numbers at torque steps", at});
  }
}

review::Pass& Guide::pass() {
  auto& passes = session_.passes();
  return *std::find_if(passes.begin(), passes.end(),
                       [&](const review::Pass& p) { return p.number == pass_number_; });
}

const Step* Guide::current() {
  return Progress(pass(), true).find(step_);
}

void Guide::choose_next() {
  question_ = Question::none;
  shown_step_ = 0;
  const Progress progress(pass());
  const auto next = [&]() -> int {
    for (const Step& step : pass().plan.steps)
      if (!progress.filled(step.step) && !skipped_.contains(step.step)) return step.step;
    return 0;
  };
  step_ = next();
  if (step_ != 0 || skipped_.empty()) return;
  skipped_.clear();  // nothing else is due
  step_ = next();
}

// --- what it says

void Guide::say(std::string_view text) {
  if (context_.json) return;
  write_text(context_, text);
}

void Guide::ring(int times) {
  if (rings_) context_.out << std::string(static_cast<std::size_t>(times), '\a');
}

report::TextStyle Guide::style() const {
  report::TextStyle out = text_style(context_);
  if (const auto columns = terminal_columns()) out.width = std::clamp<std::size_t>(*columns, 24, 100);
  return out;
}

void Guide::paragraph(std::string_view text) {
  say(report::wrapped(text, style().width, 0, 2) + "\n");
}

void Guide::unread(std::string_view given, std::string_view reason, std::string_view why) {
  if (context_.json) {
    write_json(context_, Json::object()
                             .set("event", "unread")
                             .set("given", given.empty() ? Json() : Json(text::printable(given)))
                             .set("reason", reason));
    return;
  }
  ring(kStop);
  const std::string shown = given.empty() ? std::string() : fmt::format("'{}' ", text::printable(given));
  paragraph(fmt::format("not recorded: {}{}", shown, why));
}

ExitStatus Guide::stopped(std::string_view reason, ExitStatus status) {
  if (context_.json) {
    write_json(context_, Json::object().set("event", "stopped").set("reason", reason));
  } else if (step_ != 0) {
    if (asks_) say("\n");
    paragraph(fmt::format("{}: the pass stays open at step {}; clampbook guide {} goes on", reason, step_,
                          text::printable(session_.book_name())));
  }
  context_.out.flush();
  return status;
}

ExitStatus Guide::finished() {
  const std::vector<Finding> findings =
      review::find_findings(session_.book().book(), session_.passes(), pass(), review::Until::finished);
  const bool complete = review::is_complete(pass(), findings);
  if (!context_.json) {
    say("\n");
    paragraph(complete ? "Every step has its entry, and no fault is open. In window means that the readings "
                         "match the plan; it does not say that the joint is sound."
                       : "Every step has its entry, but faults are open:");
    say(report::findings_text(findings, style()));
    step_ = 0;
  }
  static_cast<void>(
      stopped("finished", review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done));
  return review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
}

std::optional<plan::StageTool> Guide::stage_tool(const Step& step) {
  if (tool_ != nullptr) {
    const bool torque = step.reading_dimension() == Dimension::torque;
    return torque ? std::optional(plan::stage_tool(*tool_)) : std::nullopt;
  }
  for (const plan::PlanStage& stage : pass().plan.stages)
    if (stage.stage == step.stage) return stage.tool;
  return std::nullopt;
}

// With the tool in hand the setting is the tool's own.
Step Guide::as_set(const Step& step) {
  Step out = step;
  if (tool_ == nullptr || !step.target || step.target->dimension() != Dimension::torque) return out;
  joint::Torque torque = units::to<joint::Torque>(*step.target);
  if (step.prevailing) torque += units::to<joint::Torque>(*step.prevailing);
  const units::Unit& unit = tool_->unit != nullptr ? *tool_->unit : step.target->unit();
  out.setting = Measured(units::value_in(plan::setting_of(*tool_, torque), units::newton_metre),
                         units::newton_metre_unit())
                    .converted_to(unit);
  return out;
}

void Guide::show_stage(const Step& step) {
  std::vector<std::string> warnings;
  const std::optional<plan::StageTool> tool = stage_tool(step);
  const std::string name = tool_ != nullptr ? tool_->name : tool ? tool->name : std::string();
  if (!name.empty()) warnings = review::tool_warnings(pass(), step, name, context_.now());
  const std::string display =
      tool_ != nullptr && tool_->unit != nullptr ? std::string(tool_->unit->spelling) : std::string();
  say(report::guide_stage(pass(), as_set(step), tool, display, warnings, style()));
}

void Guide::show_step() {
  const Step& step = *current();
  shown_step_ = step_;
  if (context_.json) {
    confirmed_.insert(step.stage);
    write_json(context_, Json::object().set("event", "due").set("step", plan::to_json(step)));
    return;
  }
  const bool gate = step.bolt && !confirmed_.contains(step.stage);
  if (gate) {
    show_stage(step);
    if (asks_) {
      question_ = Question::stage;
      return;
    }
    confirmed_.insert(step.stage);
  }
  const std::vector<Finding> findings =
      review::find_findings(session_.book().book(), session_.passes(), pass(), review::Until::at_once);
  say("\n" + report::guide_picture(pass(), findings, step, style()) + "\n");
  if (arguments_.has("--big")) show_big(step);
  say(report::guide_step(pass(), as_set(step), stage_tool(step), context_.now(), style()));
}

void Guide::show_big(const Step& step) {
  const std::string what = step.bolt ? *step.bolt : step.label ? *step.label : fmt::format("{}", step.step);
  say(report::big_text(what, style()) + "\n");
  if (!step.target) return;
  const Measured& shown = *step.target;
  const std::string number = units::format_number(
      context_.system ? shown.in(units::unit_in(*context_.system, shown)) : shown.number());
  say(report::big_text(number + (shown.dimension() == Dimension::angle ? "°" : ""), style()) + "\n");
}

void Guide::prompt() {
  if (!asks_) return;
  const Step* step = current();
  std::string out;
  switch (question_) {
    case Question::stage:
      out = "setting, unit, direction right? y ";
      break;
    case Question::keep:
      out = "keep it? y/n ";
      break;
    case Question::go_on:
      out = "another stroke, or keep it as it is? y/n ";
      break;
    case Question::repeat:
      out = "the same value again: a second reading? y/n ";
      break;
    case Question::companion:
      out = "final torque? (y: not read) ";
      break;
    case Question::none:
      out = step->bolt ? fmt::format("bolt {} ", text::printable(*step->bolt)) : "";
      out +=
          step->is_gate() && step->kind != StageKind::count && step->kind != StageKind::measure ? "(y) " : "";
      break;
  }
  write_text(context_, out + "> ");
}

void Guide::tell(const Recorded& recorded) {
  if (context_.json) {
    const Json log = to_json(recorded);
    Json out = Json::object().set("event", "recorded");
    for (const auto& [key, value] : *log.as_object()) out.set(key, value);
    write_json(context_, out);
    return;
  }
  std::string text = recorded_text(recorded, style());
  text.pop_back();  // its line feed
  paragraph(text);
}

// --- what it records

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

Arguments Guide::entry_arguments(const Step& step) const {
  Arguments out;
  out.set_option("--pass", fmt::format("{}", pass_number_));
  out.set_option("--stage", fmt::format("{}", step.stage));
  for (const std::string_view kept : {"--tool", "--by"})
    if (const auto value = arguments_.value(kept)) out.set_option(kept, *value);
  return out;
}

std::optional<Recorded> Guide::file(const Arguments& entry, const std::string& words) {
  try {
    return file_entry(session_, entry, read_call(entry, context_.now()));
  } catch (const InputError& e) {
    const text::Diagnostic& d = e.diagnostics().front();
    if (!context_.json) {
      ring(kStop);
      write_text(context_, text::render(d));
    } else {
      unread(words, d.slug, d.message);
    }
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
  for (const Finding& f : recorded.findings) {
    if (std::find(left_out.begin(), left_out.end(), f.slug) != left_out.end()) continue;
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
  const double missing = step.target->in(unit)-entry->value->in(unit);
  paragraph(fmt::format("below the window {}: {} to go", units::format_range(*step.low, *step.high, unit),
                        units::format(Measured(missing, unit))));
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
  if (corrects && !reading.also) reading.also = last_->also;
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

// --- what it reads

void Guide::take_wrench(const Happening& line) {
  const Step& step = *current();
  if (line.too_long || line.text.size() > kLongestWrenchLine) {
    unread(line.text.substr(0, 40) + "...", "too-long", "is longer than a wrench's line can be");
    return;
  }
  if (line.cut_off) {
    unread(line.text, "cut-off", "is not whole: the wrench went away while it sent this");
    return;
  }
  static const schedule::TorqueWrench kUnknown = unknown_wrench();
  const WrenchLine read =
      schedule::read_wrench_line(line.text, tool_ != nullptr ? *tool_ : kUnknown, bare_unit(step));
  if (read.kind == WrenchLine::Kind::ignored) return;
  if (read.kind == WrenchLine::Kind::unreadable) {
    unread(line.text, "unreadable", fmt::format("can't be read: {}", read.why));
    return;
  }
  take_quantities(read.values, trimmed(line.text));
}

void Guide::take_quantities(const std::vector<Measured>& values, const std::string& words) {
  const Step& step = *current();
  const auto of = [&](std::optional<Dimension> wanted) -> const Measured* {
    for (const Measured& value : values)
      if (wanted && value.dimension() == *wanted) return &value;
    return nullptr;
  };
  if (step.is_gate()) {
    const auto& bound = step.high ? step.high : step.low;
    if (step.kind == StageKind::measure && values.size() == 1 &&
        (!bound || bound->dimension() == values[0].dimension())) {
      record_gate(step, "--measure", units::print(values[0]));
    } else {
      unread(words, "wrong-dimension", fmt::format("does not belong to step {}: {}", step.step, step.text));
    }
    return;
  }
  const bool open = awaits_companion();
  const Measured* first = of(step.reading_dimension());
  if (open && values.size() == 1 && values[0].dimension() == Dimension::torque &&
      (first == nullptr || question_ == Question::companion)) {
    take_companion(values[0], words);
    return;
  }
  if (first == nullptr) {
    unread(words, "wrong-dimension",
           fmt::format("is {}, but step {} ({}) wants {}", units::with_article(values[0].dimension()),
                       step.step, step.text, wanted_text(step)));
    return;
  }
  Reading reading{units::print(*first), std::nullopt, *first};
  if (values.size() == 2) {
    const Measured& other = first == values.data() ? values[1] : values[0];
    if (companion_dimension(step) != other.dimension()) {
      unread(words, "wrong-dimension",
             fmt::format("holds {} too, which step {} has no place for",
                         units::with_article(other.dimension()), step.step));
      return;
    }
    reading.also = units::print(other);
  }
  if (question_ == Question::companion) leave_companion();
  take_reading(std::move(reading), words, false);
}

// True while the final torque of the last reading may still come.
bool Guide::awaits_companion() {
  const Step* step = last_ ? Progress(pass(), true).find(last_->step) : nullptr;
  return step != nullptr && wants_companion(*step) && !last_->also &&
         review::entry_on(pass(), last_->seq) != nullptr;
}

std::string Guide::wanted_text(const Step& step) {
  const auto dimension = step.reading_dimension();
  return dimension ? units::with_article(*dimension) : std::string("y when it is done");
}

// The next reading came without the final torque of the one before.
void Guide::leave_companion() {
  choose_next();
  shown_step_ = step_;
}

void Guide::take_value(const std::string& words) {
  const Step& step = *current();
  if (step.kind == StageKind::count) {
    record_gate(step, "--count", words);
  } else if (step.kind == StageKind::measure) {
    record_gate(step, "--measure", words);
  } else if (step.is_gate()) {
    unread(words, "not-due", fmt::format("does not belong to step {}; type y when it is done", step.step));
  } else {
    static const schedule::TorqueWrench kTyped = unknown_wrench();
    const WrenchLine read = schedule::read_wrench_line(words, kTyped, bare_unit(step));
    const bool torque_alone = read.values.size() == 1 && read.values[0].dimension() == Dimension::torque;
    const bool follows = torque_alone && step.reading_dimension() != Dimension::torque && awaits_companion();
    if (read.values.size() == 2 || follows) {
      take_quantities(read.values, words);
      return;
    }
    if (question_ == Question::companion) leave_companion();
    std::optional<Measured> first;
    if (read.values.size() == 1) first = read.values[0];
    take_reading({with_unit(*current(), words), std::nullopt, first}, words, false);
  }
}

void Guide::take_yes() {
  const Step& step = *current();
  switch (question_) {
    case Question::stage:
      confirmed_.insert(step.stage);
      question_ = Question::none;
      shown_step_ = 0;
      return;
    case Question::keep:
    case Question::go_on:
    case Question::companion:
      choose_next();
      return;
    case Question::repeat: {
      question_ = held_question_;
      Reading reading = *std::exchange(held_, std::nullopt);
      take_reading(std::move(reading), held_words_, true);
      return;
    }
    case Question::none:
      break;
  }
  if (step.kind == StageKind::act || step.kind == StageKind::wait) {
    record_gate(step, "--tick", "");
  } else if (step.is_gate()) {
    paragraph(step.kind == StageKind::count ? "type the number that you counted" : "type what you measured");
  } else if (!step.reading_dimension() || step.kind == StageKind::loosen) {
    take_reading({"done"}, "done", true);
  } else if (step.reading_dimension() == Dimension::torque && tool_ != nullptr &&
             tool_->indicates == schedule::Indicates::click) {
    take_reading({"click"}, "click", true);
  } else {
    paragraph("type the reading; with a wrench that clicks at its setting, type: click");
  }
}

void Guide::take_no() {
  switch (question_) {
    case Question::stage:
      paragraph("set it right first; y when it is");
      return;
    case Question::keep:
    case Question::go_on:
    case Question::companion:
      take_back(judged_, "taken back at once");
      return;
    case Question::repeat:
      question_ = held_question_;
      held_.reset();
      paragraph("not recorded");
      return;
    case Question::none:
      paragraph("nothing was asked; ? lists the keys");
      return;
  }
}

bool Guide::take_key(const std::string& line) {
  const Key key = key_of(line);
  switch (key.letter) {
    case '\n':
      shown_step_ = 0;
      if (question_ == Question::stage) question_ = Question::none;
      return true;
    case 'y':
      take_yes();
      return true;
    case 'n':
      if (key.words.empty()) {
        take_no();
      } else {
        amend("note", "a note", {{"note", key.words}});
      }
      return true;
    case 'b':
      if (key.words.empty()) {
        paragraph("b and the bolt's id, for example: b 3");
      } else {
        go_to(key.words);
      }
      return true;
    case 's':
      skip();
      return true;
    case 'u':
      undo(key.words);
      return true;
    case 'd':
      doubt(key.words);
      return true;
    case '?':
      say(report::guide_keys());
      return true;
    case 'q':
      left_ = true;
      return true;
    default:
      return false;
  }
}

void Guide::take_typed(const Happening& typed) {
  const std::string line = trimmed(typed.text);
  if (text::first_invalid_utf8(line)) {
    unread(line, "not-utf8", "holds bytes that are no text");
    return;
  }
  if (take_key(line)) return;
  if (typed.too_long) {
    unread(line.substr(0, 40) + "...", "too-long", "is too long");
    return;
  }
  if (blocks(question_)) {
    const bool from_wrench = wrench_ && !input_.port();
    if (from_wrench) {
      waiting_.push_back(typed);
      paragraph(fmt::format("'{}' waits for your answer", text::printable(line)));
    } else {
      unread(line, "unanswered",
             question_ == Question::stage ? "comes before the stage is confirmed: first y"
                                          : "is no answer: first y or n");
    }
    return;
  }
  if (wrench_ && !input_.port()) {
    take_wrench(typed);
  } else {
    take_value(line);
  }
}

bool Guide::blocks(Question question) {
  return question == Question::stage || question == Question::keep || question == Question::repeat;
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

void Guide::take_back(std::int64_t line, const std::string& why) {
  const review::Entry* entry = review::entry_on(pass(), line);
  if (entry == nullptr || entry->voided_by) return;
  const int step = entry->step;
  Json::Object members{{"voids", line}};
  if (!why.empty()) members.emplace_back("because", why);
  amend("void", fmt::format("line {} does not count", line), std::move(members));
  last_.reset();
  choose_next();
  const Progress progress(pass());
  const review::Entry* standing = progress.standing(step);
  const std::optional<Measured>& low = progress.find(step)->low;
  if (standing == nullptr) {
    step_ = step;
  } else if (standing->value && low && standing->value->si() < low->si() && (asks_ || wrench_)) {
    // The stroke before it stands, below the window: the next one is still of this bolt.
    step_ = shown_step_ = step;
    last_ = Last{standing->seq,   step,         standing->given, std::nullopt,
                 standing->value, standing->at, standing->given};
    judged_ = standing->seq;
    below_the_window(*progress.find(step));
  }
}

void Guide::undo(const std::string& why) {
  const auto& entries = pass().entries;
  const auto last =
      std::find_if(entries.rbegin(), entries.rend(), [](const review::Entry& e) { return !e.voided_by; });
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
  const Step& doubted = *Progress(pass(), true).find(*place);
  amend("unsure", fmt::format("bolt {} is in doubt", text::printable(bolt)),
        {{"step", doubted.step}, {"stage", doubted.stage}, {"bolt", bolt}});
  ring(kStop);
  skipped_.insert(doubted.step);  // turn it no further; the others go on
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
    write_text(context_, text::render(e.diagnostics().front()));
    return;
  }
  const Progress progress(pass());
  choose_next();
  if (const Step* due = progress.due_for(bolt)) {
    step_ = due->step;
    skipped_.erase(step_);
    return;
  }
  step_ = pass().plan.steps[pass().index.turning(bolt).back()].step;
  paragraph(fmt::format("every step of bolt {} has its entry; a reading here counts as a second one",
                        text::printable(bolt)));
}

void Guide::skip() {
  skipped_.insert(step_);
  choose_next();
}

// --- the loop

void Guide::tell_wrench(Happening::Kind kind) {
  const bool gone = kind == Happening::Kind::wrench_gone;
  if (context_.json) {
    unread("", gone ? "wrench-gone" : "wrench-back", "");
    return;
  }
  ring(gone ? kStop : kAccepted);
  paragraph(
      gone ? "the wrench does not answer: is it switched on and plugged in? You can type readings meanwhile"
           : "the wrench is back");
}

void Guide::show_start() {
  if (context_.json) return;
  say(report::guide_start(pass(), context_.now(), style()));
  if (input_.port() && input_.port()->passed_over() > 0)
    paragraph(fmt::format("What stands in {} already is passed over.",
                          text::printable(input_.port()->source().path)));
  if (asks_) say("? lists the keys\n");
}

ExitStatus Guide::run() {
  show_start();
  choose_next();
  while (!left_) {
    if (question_ == Question::none && (step_ == 0 || current() == nullptr)) return finished();
    if (question_ == Question::none && shown_step_ != step_) show_step();
    Happening happening;
    if (!waiting_.empty() && !blocks(question_)) {
      happening = std::move(waiting_.front());
      waiting_.pop_front();
    } else {
      prompt();
      context_.out.flush();
      session_.release();  // others may write while somebody pulls
      happening = input_.next();
      session_.resume();
    }
    switch (happening.kind) {
      case Happening::Kind::end:
        return stopped("end of input", ExitStatus::done);
      case Happening::Kind::interrupted:
        return stopped("interrupted", ExitStatus::interrupted);
      case Happening::Kind::wrench_gone:
      case Happening::Kind::wrench_back:
        tell_wrench(happening.kind);
        break;
      case Happening::Kind::typed:
        take_typed(happening);
        break;
      case Happening::Kind::wrench:
        if (asks_) say("\n");
        if (blocks(question_)) {
          paragraph(fmt::format("'{}' waits for your answer", text::printable(happening.text)));
          waiting_.push_back(std::move(happening));
        } else {
          take_wrench(happening);
        }
        break;
    }
  }
  return stopped("left", ExitStatus::done);
}

}  // namespace clampbook::cli
