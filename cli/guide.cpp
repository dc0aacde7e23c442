#include "cli/guide.h"

#include "cli/log_value.h"
#include "cli/selection.h"
#include "cli/terminal.h"

#include <clampbook/schedule/wrench_line.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <ostream>

namespace clampbook::cli {

namespace {

using plan::StageKind;
using plan::Step;
using review::Progress;
using schedule::WrenchLine;
using units::Dimension;
using units::Measured;

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
    unread(line.text, read.slug, fmt::format("can't be read: {}", read.why));
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
  const auto& bound = step.high ? step.high : step.low;
  const bool measures = step.kind == StageKind::measure && values.size() == 1 &&
                        (!bound || bound->dimension() == values[0].dimension());
  const Measured* first = of(step.reading_dimension());
  if (!measures && values.size() == 1 && values[0].dimension() == Dimension::torque && awaits_companion() &&
      (first == nullptr || question_ == Question::companion)) {
    take_companion(values[0], words);
    return;
  }
  if (step.is_gate()) {
    if (measures) {
      record_gate(step, "--measure", units::print(values[0]));
    } else {
      unread(words, "wrong-dimension", fmt::format("does not belong to step {}: {}", step.step, step.text));
    }
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
  if (!leave_companion(words)) return;
  take_reading(std::move(reading), words, false);
}

// True while the final torque of the last reading may still come.
bool Guide::awaits_companion() {
  const Step* step = last_ ? Progress(pass(), true).find(last_->step) : nullptr;
  const review::Entry* entry = last_ ? review::entry_on(pass(), last_->seq) : nullptr;
  return step != nullptr && wants_companion(*step) && !last_->also && entry != nullptr && !entry->voided_by &&
         !entry->past_piece;
}

std::string Guide::wanted_text(const Step& step) {
  const auto dimension = step.reading_dimension();
  return dimension ? units::with_article(*dimension) : std::string("y when it is done");
}

// The next reading came without the final torque of the one before.
bool Guide::leave_companion(const std::string& words) {
  if (question_ != Question::companion) return true;
  choose_next();
  shown_step_ = step_;
  if (current() != nullptr) return true;
  unread(words, "not-due", "comes after the last step");
  return false;
}

namespace {

// "30+20°" as the angle that it comes to; nothing when it is none, which filing it tells.
std::optional<Measured> joined_strokes(const std::string& value) {
  if (value.find('+') == std::string::npos) return std::nullopt;
  try {
    return read_quantity(argument("VALUE", value));
  } catch (const InputError&) {
    return std::nullopt;
  }
}

}  // namespace

void Guide::take_value(const std::string& words) {
  const Step& step = *current();
  static const schedule::TorqueWrench kTyped = unknown_wrench();
  const WrenchLine read = schedule::read_wrench_line(words, kTyped, bare_unit(step));
  const bool torque_alone = read.values.size() == 1 && read.values[0].dimension() == Dimension::torque;
  const auto& bound = step.high ? step.high : step.low;
  const bool takes_torque =
      step.reading_dimension() == Dimension::torque ||
      (step.kind == StageKind::measure && (!bound || bound->dimension() == Dimension::torque));
  const bool both = !step.is_gate() && read.values.size() == 2;
  if (both || (torque_alone && !takes_torque && awaits_companion())) {
    take_quantities(read.values, words);
  } else if (step.kind == StageKind::count) {
    record_gate(step, "--count", words);
  } else if (step.kind == StageKind::measure) {
    record_gate(step, "--measure", words);
  } else if (step.is_gate()) {
    unread(words, "not-due", fmt::format("does not belong to step {}; type y when it is done", step.step));
  } else if (leave_companion(words)) {
    const std::string value = with_unit(*current(), words);
    const std::optional<Measured> first =
        read.values.size() == 1 ? std::optional(read.values[0]) : joined_strokes(value);
    take_reading({value, std::nullopt, first}, words, false);
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
  } else if (step.reading_dimension() == Dimension::torque) {
    paragraph("type the reading; with a wrench that clicks at its setting, type: click");
  } else {
    paragraph("type the reading");
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
      if (taken_up_) {
        paragraph(fmt::format("line {} stays as it is", judged_));
        choose_next();
      } else {
        take_back(judged_, "taken back at once");
      }
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
        noted_ = true;
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

void Guide::leave_queued(std::string_view reason, std::string_view why) {
  for (const Happening& h : waiting_) unread(h.text, reason, why);
  waiting_.clear();
  for (const Happening& h : input_.take_lines()) {
    const Key key = h.kind == Happening::Kind::typed ? key_of(trimmed(h.text)) : Key{};
    if (key.letter == '\0' || !key.words.empty()) unread(h.text, reason, why);  // a bare q or y says nothing
  }
}

void Guide::take(Happening happening) {
  if (happening.kind == Happening::Kind::typed) {
    take_typed(happening);
  } else if (happening.kind != Happening::Kind::wrench) {
    tell_wrench(happening.kind);
  } else {
    if (asks_) say("\n");
    if (blocks(question_)) {
      paragraph(fmt::format("'{}' waits for your answer", text::printable(happening.text)));
      waiting_.push_back(std::move(happening));
    } else {
      take_wrench(happening);
    }
  }
}

// --- the loop

ExitStatus Guide::run() {
  show_start();
  choose_next();
  while (!left_) {
    if (question_ == Question::none && (step_ == 0 || current() == nullptr)) return finished();
    if (question_ == Question::none && shown_step_ != step_) {
      show_step();
      if (question_ == Question::none) static_cast<void>(take_up_stroke(step_));
    }
    Happening happening;
    if (!waiting_.empty() && !blocks(question_)) {
      happening = std::move(waiting_.front());
      waiting_.pop_front();
    } else {
      prompt();
      context_.out.flush();
      // Nobody sees what is due: readings that still came would be taken for steps that were never shown.
      if (!context_.out)
        throw StoreError(text::Diagnostic{
            "output-failed", "nothing can be shown any more: the guide ends; what was recorded is kept",
            fmt::format("clampbook guide {} goes on", session_.book_name())});
      ground_ = ground();
      session_.release();  // others may write while somebody pulls
      happening = input_.next();
      const bool leaves = happening.kind == Happening::Kind::end ||
                          happening.kind == Happening::Kind::interrupted ||
                          key_of(trimmed(happening.text)).letter == 'q';
      if (session_.resume() && ground() != ground_ && !leaves) {
        leave_ground(happening);
        if (pass().abandoned && !ground_.abandoned) return stopped("abandoned elsewhere", ExitStatus::done);
        continue;
      }
    }
    switch (happening.kind) {
      case Happening::Kind::end:
        return stopped("end of input", ExitStatus::done);
      case Happening::Kind::interrupted:
        return stopped("interrupted", ExitStatus::interrupted);
      default:
        take(std::move(happening));
    }
  }
  return stopped("left", ExitStatus::done);
}

}  // namespace clampbook::cli
