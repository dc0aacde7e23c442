#include "cli/command.h"
#include "cli/log_lines.h"
#include "cli/requests.h"

#include <clampbook/bench/entry.h>
#include <clampbook/bench/open_book.h>
#include <clampbook/report/answer.h>
#include <clampbook/report/pass_text.h>

namespace clampbook::cli {

namespace {

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
  if (arguments.has("--lines")) return log_lines(arguments, context);
  const bench::EntryRequest request = entry_request(arguments);
  bench::check(request, context.now());
  bench::OpenBook book(*arguments.operand("BOOK"), context.now);
  const bench::Answer answer = book.file(request);
  say(answer, context);
  return status_of(answer.findings);
}

}  // namespace

void say(const bench::Answer& answer, Context& context) {
  if (context.json) {
    write_json(context, report::to_json(answer));
    return;
  }
  const report::TextStyle style = text_style(context);
  std::string out = report::answer_text(answer, style) + report::findings_text(answer.findings, style);
  if (answer.pass != nullptr) out += report::next_line(*answer.pass, answer.next);
  write_text(context, out);
}

Command log_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
