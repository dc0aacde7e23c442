#include <clampbook/bench/choose.h>
#include <clampbook/bench/entry.h>
#include <clampbook/bench/entry_value.h>
#include <clampbook/bench/key.h>
#include <clampbook/joint/wrench.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::bench {

using plan::StageKind;
using plan::Step;
using review::Progress;
using units::Measured;

namespace {

[[noreturn]] void nothing_due(std::string message, std::string help) {
  throw InputError(text::Diagnostic{"nothing-due", std::move(message), std::move(help)});
}

// The step that the request names by its number.
const Step* named_step(const Progress& progress, const EntryRequest& request) {
  if (!request.step) return nullptr;
  const Step* step = progress.find(*request.step);
  if (step == nullptr)
    nothing_due(fmt::format("pass {} has no step {}", progress.pass().number, *request.step), "");
  return step;
}

// Where a reading belongs: the named stage, else the bolt's lowest unfilled step, else its last of that
// dimension.
const Step* reading_step(const Progress& progress, const std::string& bolt, const EntryRequest& request,
                         const EntryValue& value, const Step* corrected) {
  const std::vector<Step>& steps = progress.pass().plan.steps;
  if (const Step* named = named_step(progress, request); named != nullptr && named->bolt == bolt)
    return named;
  if (corrected != nullptr && corrected->bolt == bolt && !request.stage) return corrected;
  if (request.stage) {
    const int stage = choose_stage(progress.pass(), *request.stage);
    for (const Step& step : steps)
      if (step.stage == stage && step.bolt == bolt) return &step;
    nothing_due(fmt::format("bolt {} has no step in stage {}", bolt, stage),
                "clampbook plan FILE shows the stages");
  }
  if (const Step* due = progress.due_for(bolt)) return due;
  const auto fits = [&](const Step& step) {
    if (step.bolt != bolt) return false;
    const auto dimension = step.reading_dimension();
    if (value.kind == EntryValue::Kind::done) return !dimension || step.kind == StageKind::loosen;
    return dimension ==
           (value.kind == EntryValue::Kind::click ? units::Dimension::torque : value.quantity->dimension());
  };
  const auto last = std::find_if(steps.rbegin(), steps.rend(), fits);
  if (last == steps.rend())
    nothing_due(fmt::format("bolt {} has no step that takes {}", bolt, value.source->text()), "");
  return &*last;
}

// What reaches the bolt when the wrench shows a torque through its adapter.
Measured at_the_bolt(const Measured& shown, const schedule::TorqueWrench* wrench) {
  if (wrench == nullptr || !wrench->adapter || !wrench->length ||
      shown.dimension() != units::Dimension::torque)
    return shown;
  const joint::Adapter adapter{units::to<joint::Length>(wrench->adapter->reach),
                               units::to<joint::Angle>(wrench->adapter->angle)};
  const joint::Torque torque = joint::delivered_torque(units::to<joint::Torque>(shown),
                                                       units::to<joint::Length>(*wrench->length), adapter);
  return Measured(units::value_in(torque, units::newton_metre), units::newton_metre_unit())
      .converted_to(shown.unit());
}

std::optional<record::Quantity> quantity(const std::optional<Measured>& measured) {
  return measured ? std::optional(record::quantity_of(*measured)) : std::nullopt;
}

record::Place place(const review::Pass& pass, const Step& step) {
  return {pass.number, step.step, step.stage, step.bolt};
}

Measured companion(const Word& word, const Step& step, const schedule::TorqueWrench* wrench) {
  const Measured also = at_the_bolt(read_quantity(word.source()), wrench);
  const auto wanted = companion_dimension(step);
  if (also.dimension() == wanted) return also;
  throw InputError(
      text::Diagnostic{"wrong-dimension",
                       fmt::format("{} is {}, but the companion of step {} is {}", word.text,
                                   units::with_article(also.dimension()), step.step,
                                   wanted ? units::with_article(*wanted) : std::string("nothing")),
                       "nothing was recorded", word.place()});
}

record::Reading reading(const Progress& progress, const EntryRequest& request, const Step* corrected) {
  if (!request.bolt || !request.value)
    throw UsageError(text::Diagnostic{
        "missing-argument",
        fmt::format("log needs {}",
                    request.bolt ? "VALUE" : "BOLT and VALUE, or --tick, --count or --measure"),
        "clampbook log BOOK 3 30.1Nm"});
  require_bolt(progress.pass(), *request.bolt);
  Word word = *request.value;
  if (request.unit) word.text += " " + request.unit->text;
  const schedule::TorqueWrench* wrench = choose_wrench(progress.pass(), request.tool);
  const EntryValue value = read_entry_value(word.source(), wrench != nullptr ? wrench->unit : nullptr);
  const Step& step = *reading_step(progress, request.bolt->text, request, value, corrected);
  record::Reading out{place(progress.pass(), step)};
  out.given = word.text;
  std::optional<Measured> measured = value_for(value, step);
  if (measured && value.kind == EntryValue::Kind::quantity) measured = at_the_bolt(*measured, wrench);
  out.value = quantity(measured);
  if (request.also) {
    out.also = quantity(companion(*request.also, step, wrench));
    out.also_given = request.also->text;
  }
  out.no_turn = request.no_turn;
  return out;
}

// --- gates

bool is_ticked(StageKind kind) {
  return kind == StageKind::act || kind == StageKind::wait;
}
bool is_counted(StageKind kind) {
  return kind == StageKind::count;
}
bool is_measured(StageKind kind) {
  return kind == StageKind::measure;
}

// Where a gate's entry belongs: by stage and label, else the lowest unfilled gate of that kind.
const Step* gate_step(const Progress& progress, const EntryRequest& request, bool (*fits)(StageKind),
                      std::string_view what) {
  const std::optional<int> stage =
      request.stage ? std::optional(choose_stage(progress.pass(), *request.stage)) : std::nullopt;
  const Step* filled = nullptr;
  for (const Step& step : progress.pass().plan.steps) {
    if (!fits(step.kind) || (stage && step.stage != *stage) ||
        (request.label && step.label != request.label->text))
      continue;
    if (!progress.filled(step.step)) return &step;
    filled = &step;
  }
  if (filled != nullptr && (request.stage || request.label)) return filled;  // done again on purpose
  nothing_due(fmt::format("there is no gate left to {}", what),
              filled != nullptr ? "name its --stage to do it again"
                                : "clampbook check BOOK --so-far shows what is due");
}

double counted(const Word& word) {
  const text::NumberScan scan = text::scan_number(word.text);
  const bool whole_number = scan && scan.value >= 0 && scan.value == std::floor(scan.value);
  if (whole_number) return scan.value;
  const auto fault = scan.fault;
  throw InputError(text::Diagnostic{
      std::string(text::slug(fault)),
      scan ? fmt::format("'{}' is not a whole number", word.text) : text::describe(fault, word.text),
      text::suggest(fault, word.text), word.place()});
}

// A correction of a gate of the same kind belongs where the line stands that it corrects.
const Step& gate_of(const Progress& progress, const EntryRequest& request, const Step* corrected,
                    bool (*takes)(StageKind), std::string_view what) {
  if (const Step* named = named_step(progress, request); named != nullptr && takes(named->kind))
    return *named;
  if (corrected != nullptr && takes(corrected->kind) && !request.stage && !request.label) return *corrected;
  return *gate_step(progress, request, takes, what);
}

record::Measure measurement(const Progress& progress, const EntryRequest& request, const Step* corrected) {
  const Word& word = *request.measure;
  const Measured value = read_quantity(word.source());
  const Step& step = gate_of(progress, request, corrected, is_measured, "measure");
  const auto& bound = step.high ? step.high : step.low;
  if (bound && bound->dimension() != value.dimension())
    throw InputError(text::Diagnostic{
        "wrong-dimension",
        fmt::format("{} is {}, but step {} wants {}", word.text, units::with_article(value.dimension()),
                    step.step, units::with_article(bound->dimension())),
        "nothing was recorded", word.place()});
  return {place(progress.pass(), step), record::quantity_of(value), word.text};
}

record::Line gate(const Progress& progress, const EntryRequest& request, const Step* corrected) {
  if (request.bolt)
    throw UsageError(text::Diagnostic{"bad-option", "a gate takes no bolt", "clampbook log BOOK --tick"});
  if (request.measure) return measurement(progress, request, corrected);
  const review::Pass& pass = progress.pass();
  if (request.tick)
    return record::Tick{place(pass, gate_of(progress, request, corrected, is_ticked, "tick"))};
  const double number = counted(*request.count);
  return record::Count{place(pass, gate_of(progress, request, corrected, is_counted, "count")), number,
                       request.count->text};
}

const review::Entry& line_to_correct(const std::string& book, const review::Pass& pass, const Word& word) {
  const text::NumberScan scan = text::scan_number(word.text);
  if (!scan)
    throw InputError(text::Diagnostic{std::string(text::slug(scan.fault)),
                                      text::describe(scan.fault, word.text),
                                      text::suggest(scan.fault, word.text), word.place()});
  const auto found = std::find_if(pass.entries.begin(), pass.entries.end(), [&](const review::Entry& e) {
    return static_cast<double>(e.seq) == scan.value;
  });
  if (found == pass.entries.end() || found->voided_by)
    throw InputError(text::Diagnostic{
        "nothing-due", fmt::format("line {} of {} holds no entry of this pass that counts", word.text, book),
        "clampbook check BOOK names the lines; nothing was recorded", word.place()});
  return *found;
}

std::optional<std::string> kept(const std::optional<std::string>& words) {
  return words ? std::optional(text::as_utf8(*words)) : std::nullopt;
}

}  // namespace

record::Remarks remarks_of(const Words& words, const std::optional<Word>& key, std::string typed) {
  record::Remarks out;
  if (key) {
    out.key = key->text;
    out.typed = std::move(typed);
  }
  out.by = kept(words.by);
  out.note = kept(words.note);
  out.because = kept(words.because);
  return out;
}

void check(const EntryRequest& request, record::Timestamp now) {
  static_cast<void>(request.is_gate());
  static_cast<void>(time_taken(request.at, now));
  require_key(request.key);
}

record::Draft draft_for(const review::Pass& pass, const EntryRequest& request, const std::string& book,
                        record::Timestamp now) {
  const Progress progress(pass);
  const review::Entry* corrected = request.correct ? &line_to_correct(book, pass, *request.correct) : nullptr;
  // A correction belongs to the step of the line that it corrects.
  const Step* step = corrected != nullptr ? progress.find(corrected->step) : nullptr;
  record::Draft out{time_taken(request.at, now),
                    request.is_gate() ? gate(progress, request, step) : reading(progress, request, step),
                    remarks_of(request.words, request.key, typed_digest(request))};
  if (corrected != nullptr) record::set_corrects(out.line, corrected->seq);
  if (request.tool) out.remarks.tool = text::as_utf8(request.tool->text);
  return out;
}

}  // namespace clampbook::bench
