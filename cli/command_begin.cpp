#include "cli/command.h"
#include "cli/requests.h"
#include "cli/verbs.h"

#include <clampbook/bench/begin.h>
#include <clampbook/bench/key.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/schedule/model.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

namespace clampbook::cli {

namespace {

using text::Json;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "begin",
      "Starts a pass through a schedule in a book; makes the book when there is none.",
      {{"BOOK", "the record file"}, {"FILE", "a schedule, or a build"}},
      {{"--operation", "NAME", "of a build: the operation that is begun"},
       {"--trial", "", "a trial pass: its bolts count as tightened, the joint not as built"},
       {"--only", "BOLTS", "the bolts that this pass is for: ids with commas, 3-7, or a group"},
       {"--tools", "FILE", "the tools that are used (format: tool list 1); log --tool names one"},
       {"--by", "NAME", "who does it"},
       {"--key", "K", "at most 64 characters: the same call again begins nothing twice"}},
      {"clampbook begin casing.book schedules/split-crankcase.yaml",
       "clampbook begin casing.book schedules/split-crankcase.yaml --trial",
       "clampbook begin casing.book schedules/connecting-rods.yaml --only \"cap 1\"",
       "clampbook begin compressor.book schedules/compressor-build.yaml --operation rods"}};
  return kSpec;
}

bench::BeginRequest request_of(const Arguments& arguments) {
  bench::BeginRequest out;
  out.file = text::read_file(*arguments.operand("FILE"), schedule::kLargestFile);
  out.operation = word_of(arguments, "--operation");
  out.trial = arguments.has("--trial");
  out.only = word_of(arguments, "--only");
  if (const auto tools = arguments.value("--tools"))
    out.tools = text::read_file(*tools, schedule::kLargestFile);
  out.key = word_of(arguments, "--key");
  out.words.by = arguments.value("--by");
  out.program = fmt::format("clampbook {}", program_version());
  return out;
}

// What whoever takes the first figure to a bolt has to have read.
std::string warning(const review::Pass& pass) {
  return (pass.plan.notice.empty() ? "" : text::printable(pass.plan.notice) + "\n") +
         report::standing_cautions(80);
}

std::string said(const review::Pass& pass, std::int64_t seq, bool repeated,
                 const std::optional<std::string>& only, bool quiet) {
  std::string out =
      fmt::format("{} {}: {} pass {} of {} begun, {} {}\n", repeated ? "recorded before, as" : "recorded",
                  seq, pass.trial ? "trial" : "final", pass.number, text::printable(pass.title),
                  pass.plan.steps.size(), pass.plan.steps.size() == 1 ? "step" : "steps");
  if (pass.build) out += fmt::format("Operation: {}\n", text::printable(pass.build->operation));
  if (!quiet) out += warning(pass);
  if (only) out += fmt::format("This pass is for {}\n", text::printable(*only));
  return out;
}

// From now on the pass has to be named.
std::string open_too(const std::vector<review::Pass>& passes, const review::Pass& begun) {
  std::string list;
  for (const review::Pass& pass : passes)
    if (pass.number != begun.number && review::is_open(pass))
      list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", pass.number, text::printable(pass.title));
  if (list.empty()) return {};
  return report::wrapped(
             fmt::format("Still open: pass {}. While there is more than one, log, amend and guide want "
                         "--pass N; amend --abandon gives one up",
                         list),
             80, 0, 2) +
         "\n";
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  bench::require_key(word_of(arguments, "--key"));
  const bench::Begun begun = bench::begin(book_name, request_of(arguments), context.now);
  const review::Pass& pass = *begun.pass;
  const plan::Step* next = review::Progress(pass).due();
  if (!context.json) {
    if (context.quiet) write_error(context, warning(pass));
    write_text(context, said(pass, begun.seq, begun.repeated, begun.only, context.quiet) +
                            (context.quiet ? std::string() : open_too(begun.passes, pass)) +
                            report::findings_text(begun.findings, text_style(context)) +
                            report::next_line(pass, next));
    return status_of(begun.findings);
  }
  write_json(context, Json::object()
                          .set("book", book_name)
                          .set("pass", pass.number)
                          .set("title", pass.title)
                          .set("sha256", pass.sha256)
                          .set("trial", pass.trial)
                          .set("steps", pass.plan.steps.size())
                          .set("seq", begun.seq)
                          .set("repeated", begun.repeated)
                          .set("next", next != nullptr ? plan::to_json(*next) : Json()));
  return status_of(begun.findings);
}

}  // namespace

Command begin_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
