#include "cli/command.h"
#include "cli/log_value.h"
#include "cli/selection.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book_file.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/finding.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::cli {

namespace {

using plan::StageKind;
using plan::Step;
using review::Finding;
using review::Progress;
using text::Json;
using units::Measured;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "log",
      "Records one reading at a bolt, or one gate, and says at once what is off.",
      {{"BOOK", "the record file"},
       {"BOLT", "the bolt's id", false},
       {"VALUE", "30.1 N·m, 60deg, strokes 25+20+15deg, click, or done", false},
       {"UNIT", "the unit, when it is a word of its own", false}},
      {{"--also", "Q", "the companion: the final torque of an angle, the angle of a torque"},
       {"--tick", "", "the due gate (do, wait) is done"},
       {"--count", "N", "the due count"},
       {"--measure", "Q", "the due measurement"},
       {"--stage", "S", "file it at this stage: its number or name"},
       {"--label", "L", "the gate's label"},
       {"--no-turn", "", "the wrench reached its torque without turning the bolt"},
       {"--pass", "N", "the pass (default: the only open one)"},
       {"--at", "TIME", "when it was taken, with offset: 2026-05-04T09:30:00+02:00"},
       {"--by", "NAME", "who did it"},
       {"--note", "TEXT", "a note"}},
      {"clampbook log engine.book 3 30.1Nm", "clampbook log engine.book 3 25+20+15deg --also 71Nm", "clampbook log engine.book --tick"}};
  return kSpec;
}

// What is to be filed, and where.
struct Filing {
  const Step* step = nullptr;
  std::string kind;
  std::optional<Measured> value{}, also{};
  std::optional<double> count{};
  std::string given{};
};

[[noreturn]] void nothing_due(std::string message, std::string help) {
  throw InputError(text::Diagnostic{"nothing-due", std::move(message), std::move(help)});
}

// Where a reading belongs: the named stage, else the bolt's lowest unfilled step, else its last of that dimension.
const Step* reading_step(const Progress& progress, const std::string& bolt, const Arguments& arguments, const LogValue& value) {
  const std::vector<Step>& steps = progress.pass().plan.steps;
  if (const auto word = arguments.value("--stage")) {
    const int stage = find_stage(progress.pass(), *word);
    for (const Step& step : steps)
      if (step.stage == stage && step.bolt == bolt) return &step;
    nothing_due(fmt::format("bolt {} has no step in stage {}", bolt, stage), "clampbook plan FILE shows the stages");
  }
  if (const Step* due = progress.due_for(bolt)) return due;
  const auto fits = [&](const Step& step) {
    if (step.bolt != bolt) return false;
    const auto dimension = step.reading_dimension();
    if (value.kind == LogValue::Kind::done) return !dimension || step.kind == StageKind::loosen;
    return dimension == (value.kind == LogValue::Kind::click ? units::Dimension::torque : value.quantity->dimension());
  };
  const auto last = std::find_if(steps.rbegin(), steps.rend(), fits);
  if (last == steps.rend()) nothing_due(fmt::format("bolt {} has no step that takes {}", bolt, value.source->text()), "");
  return &*last;
}

Filing reading(const Progress& progress, const Arguments& arguments) {
  const auto bolt = arguments.operand("BOLT"), word = arguments.operand("VALUE");
  if (!bolt || !word)
    throw UsageError(text::Diagnostic{"missing-argument", fmt::format("log needs {}", bolt ? "VALUE" : "BOLT and VALUE, or --tick, --count or --measure"), "clampbook log BOOK 3 30.1Nm"});
  require_bolt(progress.pass(), *bolt);
  const auto unit = arguments.operand("UNIT");
  const text::SourcePtr source = argument("VALUE", unit ? *word + " " + *unit : *word);
  const LogValue value = read_log_value(source);
  Filing out;
  out.kind = "reading";
  out.given = std::string(source->text());
  out.step = reading_step(progress, *bolt, arguments, value);
  out.value = value_for(value, *out.step);
  if (const auto also = arguments.value("--also")) {
    const text::SourcePtr also_source = argument("--also", *also);
    out.also = read_quantity(also_source);
    const auto wanted = companion_dimension(*out.step);
    if (out.also->dimension() != wanted)
      throw InputError(text::Diagnostic{"wrong-dimension", fmt::format("{} is {}, but the companion of step {} is {}", *also, units::with_article(out.also->dimension()), out.step->step,
                                                                       wanted ? units::with_article(*wanted) : std::string("nothing")),
                                        "nothing was recorded", whole(also_source)});
  }
  return out;
}

// Where a gate's entry belongs: by stage and label, else the lowest unfilled gate of that kind.
const Step* gate_step(const Progress& progress, const Arguments& arguments, bool (*fits)(StageKind), std::string_view what) {
  const auto word = arguments.value("--stage"), label = arguments.value("--label");
  const std::optional<int> stage = word ? std::optional(find_stage(progress.pass(), *word)) : std::nullopt;
  const Step* filled = nullptr;
  for (const Step& step : progress.pass().plan.steps) {
    if (!fits(step.kind) || (stage && step.stage != *stage) || (label && step.label != label)) continue;
    if (!progress.filled(step.step)) return &step;
    filled = &step;
  }
  if (filled != nullptr && (word || label)) return filled;  // done again on purpose
  nothing_due(fmt::format("there is no gate left to {}", what), filled != nullptr ? "name its --stage to do it again" : "clampbook check BOOK --so-far shows what is due");
}

double read_number(std::string_view option, const std::string& word) {
  const text::NumberScan scan = text::scan_number(word);
  const bool whole_number = scan && scan.value >= 0 && scan.value == std::floor(scan.value);
  if (whole_number) return scan.value;
  const auto fault = scan.fault;
  throw InputError(text::Diagnostic{std::string(text::slug(fault)), scan ? fmt::format("'{}' is not a whole number", word) : text::describe(fault, word),
                                    text::suggest(fault, word), whole(argument(option, word))});
}

Filing gate(const Progress& progress, const Arguments& arguments) {
  if (arguments.operand("BOLT"))
    throw UsageError(text::Diagnostic{"bad-option", "a gate takes no bolt", "clampbook log BOOK --tick"});
  Filing out;
  if (arguments.has("--tick")) {
    out.kind = "tick";
    out.step = gate_step(progress, arguments, [](StageKind k) { return k == StageKind::act || k == StageKind::wait; }, "tick");
  } else if (const auto count = arguments.value("--count")) {
    out.kind = "count";
    out.count = read_number("--count", *count);
    out.given = *count;
    out.step = gate_step(progress, arguments, [](StageKind k) { return k == StageKind::count; }, "count");
  } else {
    const std::string word = *arguments.value("--measure");
    const text::SourcePtr source = argument("--measure", word);
    out.kind = "measure";
    out.given = word;
    out.value = read_quantity(source);
    out.step = gate_step(progress, arguments, [](StageKind k) { return k == StageKind::measure; }, "measure");
    const auto& bound = out.step->high ? out.step->high : out.step->low;
    if (bound && bound->dimension() != out.value->dimension())
      throw InputError(text::Diagnostic{"wrong-dimension", fmt::format("{} is {}, but step {} wants {}", word, units::with_article(out.value->dimension()), out.step->step, units::with_article(bound->dimension())),
                                        "nothing was recorded", whole(source)});
  }
  return out;
}

std::string suffixed(std::string_view key, std::optional<units::Dimension> dimension) {
  return std::string(key) + std::string(dimension ? units::machine_suffix(*dimension) : std::string_view());
}

// The result keys from `pass` to `given`, as they stand in the book and in the answer.
Json::Object result_members(const review::Pass& pass, const Filing& filing) {
  const Step& step = *filing.step;
  const bool is_reading = filing.kind == "reading";
  const auto number = [](const std::optional<Measured>& q) { return q ? Json(q->machine_value()) : Json(); };
  return {{"pass", pass.number},
          {"step", step.step},
          {"stage", step.stage},
          {"bolt", step.bolt},
          {filing.value ? suffixed("value", filing.value->dimension()) : "value", filing.count ? Json(*filing.count) : number(filing.value)},
          {suffixed("also", is_reading ? companion_dimension(step) : std::nullopt), number(filing.also)},
          {"given", filing.given.empty() ? Json() : Json(filing.given)}};
}

std::string recorded_text(const Filing& filing, std::int64_t seq, const std::vector<Finding>& fresh, const report::TextStyle& style) {
  const Step& step = *filing.step;
  std::string out = fmt::format("recorded {}: ", seq);
  out += step.bolt ? fmt::format("bolt {}, ", text::printable(*step.bolt)) : "";
  out += fmt::format("step {}, stage {} ({}): ", step.step, step.stage, schedule::name(step.kind));
  if (filing.count) {
    out += text::shortest(*filing.count);
  } else if (filing.value) {
    out += report::both_systems(*filing.value, style);
  } else {
    out += "done";
  }
  if (filing.also) out += fmt::format(", also {}", report::both_systems(*filing.also, style));
  const bool judged = std::any_of(fresh.begin(), fresh.end(), [&](const Finding& f) { return f.seq == seq && f.severity != review::Severity::note; });
  if (step.prevailing && filing.value) out += fmt::format(", less {} for the prevailing torque", report::both_systems(*step.prevailing, style));
  if (!judged && step.low && step.high && filing.value) out += fmt::format(", in window {}", report::both_systems(*step.low, *step.high, style));
  return out + "\n";
}

Json answer(const Filing& filing, std::int64_t seq, const Json::Object& members, record::Timestamp at, record::Timestamp written,
            const std::vector<Finding>& fresh, const Step* next) {
  Json out = Json::object();
  out.set("seq", seq);
  for (const auto& [key, value] : members) {
    out.set(key, value);
    if (key == "bolt") out.set("kind", filing.kind);
  }
  Json list = Json::array();
  for (const Finding& finding : fresh) list.push(review::to_json(finding));
  out.set("at", record::to_string(at)).set("written", record::to_string(written)).set("repeated", false);
  return out.set("findings", std::move(list)).set("next", next != nullptr ? plan::to_json(*next) : Json());
}

// Options that exclude each other. True when a gate is to be filed.
bool is_gate_entry(const Arguments& arguments) {
  const int gates = int{arguments.has("--tick")} + int{arguments.has("--count")} + int{arguments.has("--measure")};
  if (gates > 1) throw UsageError(text::Diagnostic{"bad-option", "--tick, --count and --measure exclude each other", "one entry at a time"});
  if (gates > 0 && (arguments.has("--also") || arguments.has("--no-turn")))
    throw UsageError(text::Diagnostic{"bad-option", "--also and --no-turn belong to a bolt's reading, not to a gate", "leave them out"});
  return gates > 0;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  const bool is_gate = is_gate_entry(arguments);
  const record::Timestamp now = context.now();
  const record::Timestamp at = time_taken(arguments, now);
  record::BookFile book(book_name, record::BookFile::Missing::refuse);
  std::vector<review::Pass> passes = review::read_passes(book.book(), book_name);
  review::Pass& pass = select_pass(passes, arguments, PassFor::writing, book_name);
  const Filing filing = is_gate ? gate(Progress(pass), arguments) : reading(Progress(pass), arguments);
  const std::vector<Finding> before = review::find_findings(book.book(), passes, pass, review::Until::so_far);

  const Json::Object result = result_members(pass, filing);
  record::NewEvent event{at, filing.kind, result};
  if (arguments.has("--no-turn")) event.members.emplace_back("no_turn", true);
  event.members.emplace_back("by", arguments.value("--by"));
  event.members.emplace_back("note", arguments.value("--note"));
  const std::int64_t seq = book.append({event}, now);

  review::apply(pass, book.book().events.back());
  std::vector<Finding> fresh;
  for (Finding& finding : review::find_findings(book.book(), passes, pass, review::Until::so_far))
    if (std::none_of(before.begin(), before.end(), [&](const Finding& f) { return f.same_as(finding); })) fresh.push_back(std::move(finding));
  const Step* next = Progress(pass).due();
  if (context.json) {
    write_json(context, answer(filing, seq, result, at, now, fresh, next));
  } else {
    const report::TextStyle style = text_style(context);
    write_text(context, recorded_text(filing, seq, fresh, style) + report::findings_text(fresh, style) + report::next_line(next));
  }
  return review::falls_short(fresh) ? ExitStatus::falls_short : ExitStatus::done;
}

}  // namespace

Command log_command() { return {spec(), run}; }

}  // namespace clampbook::cli
