#include "cli/command.h"
#include "cli/filing.h"
#include "cli/log_lines.h"
#include "cli/selection.h"
#include "cli/session.h"

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

using plan::Step;
using review::Finding;
using review::Progress;

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
       {"--tool", "T", "the tool it was read with"},
       {"--correct", "SEQ", "voids that line and records this in its place"},
       {"--by", "NAME", "who did it"},
       {"--note", "TEXT", "a note"},
       {"--key", "K", "at most 64 characters: the same call again records nothing twice"},
       {"--lines", "FILE|-", "CSV: bolt,value[,also,stage,at,tool,key,note]; stops at the first bad row"}},
      {"clampbook log casing.book 3 30.1Nm", "clampbook log casing.book 3 25+20+15deg --also 71Nm",
       "clampbook log casing.book --tick"}};
  return kSpec;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  if (arguments.has("--lines")) return log_lines(arguments, context);
  Call call = read_call(arguments, context.now());
  Session session(book_name);
  call.now = context.now();  // the wait for other writers is over: times follow the order of the lines
  if (!arguments.has("--at")) call.at = call.now;
  std::optional<Recorded> recorded = session.repeated(arguments.value("--key"), call.typed);
  if (!recorded) recorded = file_entry(session, arguments, call);
  answer(*recorded, context);
  return recorded->status();
}

}  // namespace

std::string recorded_text(const Recorded& recorded, const report::TextStyle& style) {
  const record::Event& event = *recorded.event;
  const Progress progress(*recorded.pass, true);
  const Step* found = progress.find(static_cast<int>(*event.integer("step")));
  // A repeated key of a pass whose plan is lost.
  if (found == nullptr) return fmt::format("recorded before, as {}\n", event.seq);
  const Step& step = *found;
  const review::Entry& entry = *std::find_if(recorded.pass->entries.begin(), recorded.pass->entries.end(),
                                             [&](const review::Entry& e) { return e.seq == event.seq; });
  std::string out = fmt::format("{} {}: ", recorded.repeated ? "recorded before, as" : "recorded", event.seq);
  if (step.bolt) out += fmt::format("bolt {}, ", text::printable(*step.bolt));
  if (step.label)
    out += fmt::format("{}{}, ", recorded.pass->index.bolt(*step.label) ? "bolt " : "",
                       text::printable(*step.label));
  out += fmt::format("step {}, stage {} ({}): ", step.step, step.stage, schedule::name(step.kind));
  if (entry.count) {
    out += text::shortest(*entry.count);
  } else if (entry.value) {
    out += report::both_systems(*entry.value, style);
  } else {
    out += "done";
  }
  if (step.prevailing && entry.value && !entry.click && entry.value->dimension() == units::Dimension::torque)
    out += fmt::format(", of which {} turn the lock nut", report::both_systems(*step.prevailing, style));
  if (entry.also) out += fmt::format(", also {}", report::both_systems(*entry.also, style));
  const bool judged = std::any_of(recorded.findings.begin(), recorded.findings.end(), [&](const Finding& f) {
    return f.seq == event.seq && f.severity != review::Severity::note;
  });
  if (!judged && step.low && step.high && entry.value && entry.value->dimension() == step.low->dimension())
    out += fmt::format(", in window {}", report::both_systems(*step.low, *step.high, style));
  return out + "\n";
}

void answer(const Recorded& recorded, Context& context) {
  if (context.json) {
    write_json(context, to_json(recorded));
    return;
  }
  const report::TextStyle style = text_style(context);
  write_text(context, recorded_text(recorded, style) + report::findings_text(recorded.findings, style) +
                          report::next_line(*recorded.pass, recorded.next));
}

Command log_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
