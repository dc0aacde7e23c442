#include "cli/filing.h"

#include "cli/selection.h"

#include <clampbook/joint/wrench.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::cli {

const schedule::TorqueWrench* find_wrench(const review::Pass& pass, const Arguments& arguments) {
  const auto name = arguments.value("--tool");
  if (!name || !pass.tools) return nullptr;
  std::vector<std::string_view> known;
  for (const schedule::TorqueWrench& wrench : pass.tools->torque_wrenches) {
    if (wrench.name == *name) return &wrench;
    known.push_back(wrench.name);
  }
  for (const auto* gauges : {&pass.tools->angle_gauges, &pass.tools->length_gauges}) {
    for (const schedule::Gauge& gauge : *gauges) {
      if (gauge.name == *name) return nullptr;
      known.push_back(gauge.name);
    }
  }
  std::string help = text::did_you_mean(*name, known);
  if (help.empty()) help = "the pass was begun with " + text::list_words(known, "and");
  throw InputError(text::Diagnostic{"unknown-tool", fmt::format("tool '{}' is not known", *name),
                                    std::move(help), whole(argument("--tool", *name))});
}

namespace {

using plan::StageKind;
using plan::Step;
using review::Progress;
using units::Measured;

// What is to be filed, and where.
struct Filing {
  const Step* step = nullptr;
  std::string kind;
  std::optional<Measured> value{}, also{};
  std::optional<double> count{};
  std::string given{}, also_given{};
};

[[noreturn]] void nothing_due(std::string message, std::string help) {
  throw InputError(text::Diagnostic{"nothing-due", std::move(message), std::move(help)});
}

// Where a reading belongs: the named stage, else the bolt's lowest unfilled step, else its last of that
// dimension.
const Step* reading_step(const Progress& progress, const std::string& bolt, const Arguments& arguments,
                         const LogValue& value, const Step* corrected) {
  const std::vector<Step>& steps = progress.pass().plan.steps;
  if (corrected != nullptr && corrected->bolt == bolt && !arguments.has("--stage")) return corrected;
  if (const auto word = arguments.value("--stage")) {
    const int stage = find_stage(progress.pass(), *word);
    for (const Step& step : steps)
      if (step.stage == stage && step.bolt == bolt) return &step;
    nothing_due(fmt::format("bolt {} has no step in stage {}", bolt, stage),
                "clampbook plan FILE shows the stages");
  }
  if (const Step* due = progress.due_for(bolt)) return due;
  const auto fits = [&](const Step& step) {
    if (step.bolt != bolt) return false;
    const auto dimension = step.reading_dimension();
    if (value.kind == LogValue::Kind::done) return !dimension || step.kind == StageKind::loosen;
    return dimension ==
           (value.kind == LogValue::Kind::click ? units::Dimension::torque : value.quantity->dimension());
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

Filing reading(const Progress& progress, const Arguments& arguments, const Step* corrected) {
  const auto bolt = arguments.operand("BOLT"), word = arguments.operand("VALUE");
  if (!bolt || !word)
    throw UsageError(text::Diagnostic{
        "missing-argument",
        fmt::format("log needs {}", bolt ? "VALUE" : "BOLT and VALUE, or --tick, --count or --measure"),
        "clampbook log BOOK 3 30.1Nm"});
  require_bolt(progress.pass(), *bolt);
  const auto unit = arguments.operand("UNIT");
  const text::SourcePtr source = argument("VALUE", unit ? *word + " " + *unit : *word);
  const schedule::TorqueWrench* wrench = find_wrench(progress.pass(), arguments);
  const LogValue value = read_log_value(source, wrench != nullptr ? wrench->unit : nullptr);
  Filing out;
  out.kind = "reading";
  out.given = std::string(source->text());
  out.step = reading_step(progress, *bolt, arguments, value, corrected);
  out.value = value_for(value, *out.step);
  if (out.value && value.kind == LogValue::Kind::quantity) out.value = at_the_bolt(*out.value, wrench);
  if (const auto also = arguments.value("--also")) {
    const text::SourcePtr also_source = argument("--also", *also);
    out.also = at_the_bolt(read_quantity(also_source), wrench);
    out.also_given = *also;
    const auto wanted = companion_dimension(*out.step);
    if (out.also->dimension() != wanted)
      throw InputError(
          text::Diagnostic{"wrong-dimension",
                           fmt::format("{} is {}, but the companion of step {} is {}", *also,
                                       units::with_article(out.also->dimension()), out.step->step,
                                       wanted ? units::with_article(*wanted) : std::string("nothing")),
                           "nothing was recorded", whole(also_source)});
  }
  return out;
}

// Where a gate's entry belongs: by stage and label, else the lowest unfilled gate of that kind.
const Step* gate_step(const Progress& progress, const Arguments& arguments, bool (*fits)(StageKind),
                      std::string_view what) {
  const auto word = arguments.value("--stage"), label = arguments.value("--label");
  const std::optional<int> stage = word ? std::optional(find_stage(progress.pass(), *word)) : std::nullopt;
  const Step* filled = nullptr;
  for (const Step& step : progress.pass().plan.steps) {
    if (!fits(step.kind) || (stage && step.stage != *stage) || (label && step.label != label)) continue;
    if (!progress.filled(step.step)) return &step;
    filled = &step;
  }
  if (filled != nullptr && (word || label)) return filled;  // done again on purpose
  nothing_due(fmt::format("there is no gate left to {}", what),
              filled != nullptr ? "name its --stage to do it again"
                                : "clampbook check BOOK --so-far shows what is due");
}

double read_number(std::string_view option, const std::string& word) {
  const text::NumberScan scan = text::scan_number(word);
  const bool whole_number = scan && scan.value >= 0 && scan.value == std::floor(scan.value);
  if (whole_number) return scan.value;
  const auto fault = scan.fault;
  throw InputError(
      text::Diagnostic{std::string(text::slug(fault)),
                       scan ? fmt::format("'{}' is not a whole number", word) : text::describe(fault, word),
                       text::suggest(fault, word), whole(argument(option, word))});
}

// A correction of a gate of the same kind belongs where the line stands that it corrects.
const Step* gate_of(const Progress& progress, const Arguments& arguments, const Step* corrected,
                    bool (*takes)(StageKind), std::string_view what) {
  if (corrected != nullptr && takes(corrected->kind) && !arguments.has("--stage") &&
      !arguments.has("--label"))
    return corrected;
  return gate_step(progress, arguments, takes, what);
}

Filing gate(const Progress& progress, const Arguments& arguments, const Step* corrected) {
  if (arguments.operand("BOLT"))
    throw UsageError(text::Diagnostic{"bad-option", "a gate takes no bolt", "clampbook log BOOK --tick"});
  Filing out;
  if (arguments.has("--tick")) {
    out.kind = "tick";
    out.step = gate_of(
        progress, arguments, corrected,
        [](StageKind k) { return k == StageKind::act || k == StageKind::wait; }, "tick");
  } else if (const auto count = arguments.value("--count")) {
    out.kind = "count";
    out.count = read_number("--count", *count);
    out.given = *count;
    out.step = gate_of(
        progress, arguments, corrected, [](StageKind k) { return k == StageKind::count; }, "count");
  } else {
    const std::string word = *arguments.value("--measure");
    const text::SourcePtr source = argument("--measure", word);
    out.kind = "measure";
    out.given = word;
    out.value = read_quantity(source);
    out.step = gate_of(
        progress, arguments, corrected, [](StageKind k) { return k == StageKind::measure; }, "measure");
    const auto& bound = out.step->high ? out.step->high : out.step->low;
    if (bound && bound->dimension() != out.value->dimension())
      throw InputError(text::Diagnostic{
          "wrong-dimension",
          fmt::format("{} is {}, but step {} wants {}", word, units::with_article(out.value->dimension()),
                      out.step->step, units::with_article(bound->dimension())),
          "nothing was recorded", whole(source)});
  }
  return out;
}

// Options that exclude each other. True when a gate is to be filed.
bool is_gate_entry(const Arguments& arguments) {
  const int gates =
      int{arguments.has("--tick")} + int{arguments.has("--count")} + int{arguments.has("--measure")};
  if (gates > 1)
    throw UsageError(text::Diagnostic{"bad-option", "--tick, --count and --measure exclude each other",
                                      "one entry at a time"});
  if (gates > 0 && (arguments.has("--also") || arguments.has("--no-turn")))
    throw UsageError(text::Diagnostic{
        "bad-option", "--also and --no-turn belong to a bolt's reading, not to a gate", "leave them out"});
  return gates > 0;
}

std::optional<record::Quantity> quantity(const std::optional<Measured>& measured) {
  return measured ? std::optional(record::quantity_of(*measured)) : std::nullopt;
}

record::Line line_of(const review::Pass& pass, const Filing& filing, bool no_turn,
                     std::optional<std::int64_t> corrects) {
  const Step& step = *filing.step;
  record::Place at{pass.number, step.step, step.stage, step.bolt};
  if (filing.kind == "tick") return record::Tick{std::move(at), corrects};
  if (filing.kind == "count") return record::Count{std::move(at), filing.count, filing.given, corrects};
  if (filing.kind == "measure")
    return record::Measure{std::move(at), quantity(filing.value), filing.given, corrects};
  return record::Reading{std::move(at), quantity(filing.value), quantity(filing.also),
                         filing.given,  filing.also_given,      no_turn,
                         corrects};
}

const review::Entry& line_to_correct(const Session& session, const review::Pass& pass,
                                     const std::string& word) {
  const text::Location at = whole(argument("--correct", word));
  const text::NumberScan scan = text::scan_number(word);
  if (!scan)
    throw InputError(text::Diagnostic{std::string(text::slug(scan.fault)), text::describe(scan.fault, word),
                                      text::suggest(scan.fault, word), at});
  const auto found = std::find_if(pass.entries.begin(), pass.entries.end(), [&](const review::Entry& e) {
    return static_cast<double>(e.seq) == scan.value;
  });
  if (found == pass.entries.end() || found->voided_by)
    throw InputError(text::Diagnostic{
        "nothing-due",
        fmt::format("line {} of {} holds no entry of this pass that counts", word, session.book_name()),
        "clampbook check BOOK names the lines; nothing was recorded", at});
  return *found;
}

}  // namespace

Call read_call(const Arguments& arguments, record::Timestamp now) {
  Call call{is_gate_entry(arguments), now, time_taken(arguments, now), typed_content("log", arguments)};
  require_key(arguments);
  return call;
}

Recorded file_entry(Session& session, const Arguments& arguments, const Call& call) {
  review::Pass& pass = select_pass(session.passes(), arguments, PassFor::writing, session.book_name());
  const Progress progress(pass);
  const review::Entry* corrected = nullptr;
  if (const auto word = arguments.value("--correct")) corrected = &line_to_correct(session, pass, *word);
  // A correction belongs to the step of the line that it corrects.
  const Step* step = corrected != nullptr ? progress.find(corrected->step) : nullptr;
  const Filing filing = call.gate ? gate(progress, arguments, step) : reading(progress, arguments, step);
  const std::optional<std::int64_t> corrects =
      corrected != nullptr ? std::optional(corrected->seq) : std::nullopt;
  const record::Draft draft{call.at, line_of(pass, filing, arguments.has("--no-turn"), corrects),
                            remarks_of(arguments, call.typed)};
  return session.record(pass, draft, call.now);
}

}  // namespace clampbook::cli
