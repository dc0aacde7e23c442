// What a line means: a key, a reading, an answer.
#include <clampbook/bench/entry_value.h>
#include <clampbook/bench/walk.h>
#include <clampbook/schedule/wrench_line.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <utility>

namespace clampbook::bench {

using plan::StageKind;
using plan::Step;
using schedule::WrenchLine;
using units::Dimension;
using units::Measured;

namespace {

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

std::string wanted_text(const Step& step) {
  const auto dimension = step.reading_dimension();
  return dimension ? units::with_article(*dimension) : std::string("y when it is done");
}

// "30+20°" as the angle that it comes to; nothing when it is none, which filing it tells.
std::optional<Measured> joined_strokes(const std::string& value) {
  if (value.find('+') == std::string::npos) return std::nullopt;
  try {
    return read_quantity(Word{"VALUE", value}.source());
  } catch (const InputError&) {
    return std::nullopt;
  }
}

}  // namespace

bool is_bare_key(const std::string& line) {
  const Key key = key_of(trimmed(line));
  return key.letter != '\0' && key.words.empty();
}

bool is_quit(const std::string& line) {
  return key_of(trimmed(line)).letter == 'q';
}

void Walk::take_line(LineIn line, const View& view) {
  if (line.from == LineIn::From::typed) {
    take_typed(line, view);
  } else if (blocks(asked_)) {
    remark({Remark::About::waits_for_answer, line.text});
    waiting_.push_back(std::move(line));
  } else {
    take_wrench(line, view);
  }
}

void Walk::tick(const Step& step, const View& view) {
  EntryRequest entry = entry_at(step, view);
  entry.tick = true;
  record_gate(step, std::move(entry), "");
}

void Walk::count(const Step& step, const std::string& words, const View& view) {
  EntryRequest entry = entry_at(step, view);
  entry.count = Word{"--count", words};
  record_gate(step, std::move(entry), words);
}

void Walk::measure(const Step& step, const std::string& words, const View& view) {
  EntryRequest entry = entry_at(step, view);
  entry.measure = Word{"--measure", words};
  record_gate(step, std::move(entry), words);
}

void Walk::take_wrench(const LineIn& line, const View& view) {
  const Step& due = *step(view);
  if (line.too_long || line.text.size() > schedule::kLongestWrenchLine) {
    unread(line.text.substr(0, 40) + "...", "too-long", "is longer than a wrench's line can be");
    return;
  }
  if (line.cut_off) {
    unread(line.text, "cut-off", "is not whole: the wrench went away while it sent this");
    return;
  }
  static const schedule::TorqueWrench kUnknown = unknown_wrench();
  const WrenchLine read =
      schedule::read_wrench_line(line.text, settings_.wrench ? *settings_.wrench : kUnknown, bare_unit(due));
  if (read.kind == WrenchLine::Kind::ignored) return;
  if (read.kind == WrenchLine::Kind::unreadable) {
    unread(line.text, read.slug, fmt::format("can't be read: {}", read.why));
    return;
  }
  take_quantities(read.values, trimmed(line.text), view);
}

void Walk::take_quantities(const std::vector<Measured>& values, const std::string& words, const View& view) {
  const Step& due = *step(view);
  const auto of = [&](std::optional<Dimension> wanted) -> const Measured* {
    for (const Measured& value : values)
      if (wanted && value.dimension() == *wanted) return &value;
    return nullptr;
  };
  const auto& bound = due.high ? due.high : due.low;
  const bool measures = due.kind == StageKind::measure && values.size() == 1 &&
                        (!bound || bound->dimension() == values[0].dimension());
  const Measured* first = of(due.reading_dimension());
  if (!measures && values.size() == 1 && values[0].dimension() == Dimension::torque &&
      awaits_companion(view) && (first == nullptr || asked_ == Asked::companion)) {
    take_companion(values[0], words, view);
    return;
  }
  if (due.is_gate()) {
    if (measures) {
      measure(due, units::print(values[0]), view);
    } else {
      unread(words, "wrong-dimension", fmt::format("does not belong to step {}: {}", due.step, due.text));
    }
    return;
  }
  if (first == nullptr) {
    unread(words, "wrong-dimension",
           fmt::format("is {}, but step {} ({}) wants {}", units::with_article(values[0].dimension()),
                       due.step, due.text, wanted_text(due)));
    return;
  }
  Reading reading{units::print(*first), std::nullopt, *first};
  if (values.size() == 2) {
    const Measured& other = first == values.data() ? values[1] : values[0];
    if (companion_dimension(due) != other.dimension()) {
      unread(words, "wrong-dimension",
             fmt::format("holds {} too, which step {} has no place for",
                         units::with_article(other.dimension()), due.step));
      return;
    }
    reading.also = units::print(other);
  }
  if (!leave_companion(words, view)) return;
  take_reading(std::move(reading), words, false, view);
}

// True while the final torque of the last reading may still come.
bool Walk::awaits_companion(const View& view) const {
  const Step* step = last_ ? review::step_numbered(view.pass, last_->step) : nullptr;
  const review::Entry* entry = last_ ? review::entry_on(view.pass, last_->seq) : nullptr;
  return step != nullptr && wants_companion(*step) && !last_->also && entry != nullptr && !entry->voided_by &&
         !entry->past_piece;
}

// The next reading came without the final torque of the one before.
bool Walk::leave_companion(const std::string& words, const View& view) {
  if (asked_ != Asked::companion) return true;
  choose_next(view);
  const Step* next = step(view);
  const bool confirmed = next != nullptr && (!settings_.somebody_answers || confirmed_.contains(next->stage));
  if (next != nullptr && next->bolt && confirmed) {
    shown_step_ = step_;
    return true;
  }
  // Nobody has seen the gate or the stage that comes now: it was not meant for that.
  if (next == nullptr) {
    unread(words, "not-due", "comes after the last step");
  } else if (!next->bolt) {
    unread(words, "not-due", fmt::format("does not belong to step {}: {}", next->step, next->text));
  } else {
    unread(words, "unanswered", "comes before the stage is confirmed: first y");
  }
  return false;
}

void Walk::take_value(const std::string& words, const View& view) {
  const Step& due = *step(view);
  static const schedule::TorqueWrench kTyped = unknown_wrench();
  const WrenchLine read = schedule::read_wrench_line(words, kTyped, bare_unit(due));
  const bool torque_alone = read.values.size() == 1 && read.values[0].dimension() == Dimension::torque;
  const auto& bound = due.high ? due.high : due.low;
  const bool takes_torque =
      due.reading_dimension() == Dimension::torque ||
      (due.kind == StageKind::measure && (!bound || bound->dimension() == Dimension::torque));
  const bool both = !due.is_gate() && read.values.size() == 2;
  if (both || (torque_alone && !takes_torque && awaits_companion(view))) {
    take_quantities(read.values, words, view);
  } else if (due.kind == StageKind::count) {
    count(due, words, view);
  } else if (due.kind == StageKind::measure) {
    measure(due, words, view);
  } else if (due.is_gate()) {
    unread(words, "not-due", fmt::format("does not belong to step {}; type y when it is done", due.step));
  } else if (leave_companion(words, view)) {
    const std::string value = with_unit(*step(view), words);
    const std::optional<Measured> first =
        read.values.size() == 1 ? std::optional(read.values[0]) : joined_strokes(value);
    take_reading({value, std::nullopt, first}, words, false, view);
  }
}

void Walk::take_yes(const View& view) {
  const Step& due = *step(view);
  switch (asked_) {
    case Asked::stage:
      confirmed_.insert(due.stage);
      asked_ = Asked::nothing;
      shown_step_ = 0;
      return;
    case Asked::keep:
    case Asked::go_on:
    case Asked::companion:
      choose_next(view);
      return;
    case Asked::repeat: {
      asked_ = held_asked_;
      Reading reading = *std::exchange(held_, std::nullopt);
      take_reading(std::move(reading), held_words_, true, view);
      return;
    }
    case Asked::nothing:
      break;
  }
  if (due.kind == StageKind::act || due.kind == StageKind::wait) {
    tick(due, view);
  } else if (due.is_gate()) {
    remark(
        {due.kind == StageKind::count ? Remark::About::type_the_count : Remark::About::type_the_measurement});
  } else if (!due.reading_dimension() || due.kind == StageKind::loosen) {
    take_reading({"done"}, "done", true, view);
  } else if (due.reading_dimension() == Dimension::torque && settings_.wrench &&
             settings_.wrench->indicates == schedule::Indicates::click) {
    take_reading({"click"}, "click", true, view);
  } else if (due.reading_dimension() == Dimension::torque) {
    remark({Remark::About::type_or_click});
  } else {
    remark({Remark::About::type_the_reading});
  }
}

void Walk::take_no(const View& view) {
  switch (asked_) {
    case Asked::stage:
      remark({Remark::About::set_it_right_first});
      return;
    case Asked::keep:
    case Asked::go_on:
    case Asked::companion:
      if (taken_up_) {
        remark({Remark::About::stays_as_it_is, {}, judged_});
        choose_next(view);
      } else {
        take_back(judged_, "taken back at once", view);
      }
      return;
    case Asked::repeat:
      asked_ = held_asked_;
      held_.reset();
      remark({Remark::About::not_recorded});
      return;
    case Asked::nothing:
      remark({Remark::About::nothing_was_asked});
      return;
  }
}

bool Walk::take_key(const std::string& line, const View& view) {
  const Key key = key_of(line);
  switch (key.letter) {
    case '\n':
      shown_step_ = 0;
      if (asked_ == Asked::stage) asked_ = Asked::nothing;
      return true;
    case 'y':
      take_yes(view);
      return true;
    case 'n':
      if (key.words.empty()) {
        take_no(view);
      } else {
        amend({Filed::What::note}, record::Note{pass_}, key.words);
      }
      return true;
    case 'b':
      if (key.words.empty()) {
        remark({Remark::About::name_the_bolt});
      } else {
        go_to(key.words, view);
      }
      return true;
    case 's':
      skip(view);
      return true;
    case 'u':
      undo(key.words, view);
      return true;
    case 'd':
      doubt(key.words, view);
      return true;
    case '?':
      show(KeyList{});
      return true;
    case 'q':
      left_ = true;
      return true;
    default:
      return false;
  }
}

void Walk::take_typed(const LineIn& typed, const View& view) {
  const std::string line = trimmed(typed.text);
  if (text::first_invalid_utf8(line)) {
    unread(line, "not-utf8", "holds bytes that are no text");
    return;
  }
  if (take_key(line, view)) return;
  if (typed.too_long) {
    unread(line.substr(0, 40) + "...", "too-long", "is too long");
    return;
  }
  if (blocks(asked_)) {
    if (settings_.typed_by_wrench) {
      waiting_.push_back(typed);
      remark({Remark::About::waits_for_answer, line});
    } else {
      unread(line, "unanswered",
             asked_ == Asked::stage ? "comes before the stage is confirmed: first y"
                                    : "is no answer: first y or n");
    }
    return;
  }
  if (settings_.typed_by_wrench) {
    take_wrench(typed, view);
  } else {
    take_value(line, view);
  }
}

}  // namespace clampbook::bench
