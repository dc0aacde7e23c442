#include "cli/command.h"
#include "cli/requests.h"

#include <clampbook/bench/key.h>
#include <clampbook/bench/open_book.h>
#include <clampbook/report/answer.h>
#include <clampbook/report/pass_text.h>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "amend",
      "Records what no tool said: a line that does not count, another bolt, a doubt, a finding that is "
      "accepted.",
      {{"BOOK", "the record file"}},
      {{"--void", "SEQ", "that line does not count; its step is open again"},
       {"--fitted", "BOLTS", "other pieces sit there now; their steps are open again"},
       {"--uses", "N", "with --fitted: how often they were tightened before"},
       {"--removed", "BOLTS", "they were taken out; their steps are open again"},
       {"--unsure", "BOLT",
        "a doubt that keeps the pass incomplete; says what to do without turning further"},
       {"--accept", "SEQ", "keeps what was found on that line, with its reason; needs --because"},
       {"--abandon", "", "ends the pass unfinished"},
       {"--note", "TEXT", "a note"},
       {"--pass", "N", "the pass (default: the only open one)"},
       {"--by", "NAME", "who says so"},
       {"--because", "TEXT", "why"},
       {"--key", "K", "at most 64 characters: the same call again records nothing twice"}},
      {"clampbook amend casing.book --void 12 --because \"read on the neighbour\"",
       "clampbook amend casing.book --fitted 3,4", "clampbook amend casing.book --unsure 9"}};
  return kSpec;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const bench::AmendRequest request = amend_request(arguments);
  bench::require_key(request.key);
  bench::OpenBook book(*arguments.operand("BOOK"), context.now);
  const bench::Answer answer = book.file(request);
  if (context.json) {
    write_json(context, report::to_json(answer));
  } else {
    const report::TextStyle style = text_style(context);
    write_text(context, report::answer_text(answer, style) + report::findings_text(answer.findings, style) +
                            report::next_line(*answer.pass, answer.next));
  }
  return status_of(answer.findings);
}

}  // namespace

Command amend_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
