#include "cli/command.h"
#include "cli/selection.h"
#include "cli/session.h"
#include "cli/verbs.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/plan/tools.h>
#include <clampbook/record/book_file.h>
#include <clampbook/record/seal.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/pass.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::cli {

namespace {

using text::Json;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "begin",
      "Starts a pass through a schedule in a book; makes the book when there is none.",
      {{"BOOK", "the record file"}, {"FILE", "a schedule"}},
      {{"--trial", "", "a trial pass: its bolts count as tightened, the joint not as built"},
       {"--only", "BOLTS", "only these bolts belong on now: ids with commas, 3-7, or a group"},
       {"--tools", "FILE", "the tools that are used (format: tool list 1); log --tool names one"},
       {"--by", "NAME", "who does it"},
       {"--key", "K", "at most 64 characters: the same call again begins nothing twice"}},
      {"clampbook begin engine.book schedules/split-crankcase.yaml",
       "clampbook begin engine.book schedules/split-crankcase.yaml --trial",
       "clampbook begin engine.book schedules/connecting-rods.yaml --only \"cap 1\""}};
  return kSpec;
}

// The schedule as it will be kept: whole, or for some bolts.
struct Prepared {
  text::SourcePtr source;
  std::string sha256;
  std::optional<std::string> only;
  plan::Plan plan;
  text::SourcePtr tools;  ///< null without --tools
};

Prepared prepare(const Arguments& arguments) {
  Prepared out{text::read_file(*arguments.operand("FILE"), schedule::kLargestFile),
               {},
               arguments.value("--only"),
               {},
               nullptr};
  const schedule::Schedule schedule = schedule::read_schedule(out.source);
  std::vector<std::size_t> only;
  if (out.only) only = schedule::select_bolts(schedule, argument("--only", *out.only));
  out.plan = plan::make_plan(schedule, only);
  plan::mark_yielding_steps(out.plan, plan::predict(schedule));
  if (const auto file = arguments.value("--tools")) {
    out.tools = text::read_file(*file, schedule::kLargestFile);
    plan::use_tools(out.plan, plan::choose_tools(plan::make_plan(schedule), schedule::read_tools(out.tools)));
  }
  out.sha256 = record::sha256(out.source->text());
  return out;
}

std::int64_t append_pass(record::BookFile& book, std::int64_t number, const Prepared& prepared,
                         const Arguments& arguments, const std::string& typed, record::Timestamp now) {
  record::NewEvent begun{now, "begun"}, planned{now, "planned"};
  begun.members = {{"pass", number},
                   {"title", prepared.plan.title},
                   {"file", prepared.source->name()},
                   {"sha256", prepared.sha256},
                   {"trial", arguments.has("--trial")},
                   {"only", prepared.only ? Json(*prepared.only) : Json()},
                   {"program", fmt::format("clampbook {}", program_version())},
                   {"schedule", prepared.source->text()},
                   {"tools", prepared.tools ? Json(prepared.tools->text()) : Json()}};
  append_remarks(begun.members, arguments, typed);
  planned.members = {{"pass", number}, {"plan", plan::to_record(prepared.plan)}};
  return book.append({begun, planned}, now);
}

std::string said(const review::Pass& pass, std::int64_t seq, bool repeated,
                 const std::optional<std::string>& only, bool quiet) {
  std::string out = fmt::format(
      "{} {}: {} pass {} of {} begun, {} steps\n", repeated ? "recorded before, as" : "recorded", seq,
      pass.trial ? "trial" : "final", pass.number, text::printable(pass.title), pass.plan.steps.size());
  if (!quiet) {
    if (!pass.plan.notice.empty()) out += text::printable(pass.plan.notice) + "\n";
    for (const std::string_view caution : report::standing_cautions())
      out += report::wrapped(fmt::format("! {}", caution), 80, 0, 2) + "\n";
  }
  if (only) out += fmt::format("Only these bolts belong on now: {}\n", text::printable(*only));
  return out + report::next_line(review::Progress(pass).due());
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  require_key(arguments);
  // Everything that can be refused is looked at before the book is touched.
  const Prepared prepared = prepare(arguments);
  const std::string typed = typed_content("begin", arguments);
  record::BookFile book(book_name, record::BookFile::Missing::create);
  std::vector<review::Pass> passes = review::read_passes(book.book());
  const record::Event* stands = find_key(book.book(), book_name, arguments.value("--key"), typed);
  const bool repeated = stands != nullptr;
  const std::int64_t number = repeated         ? stands->integer("pass").value_or(0)
                              : passes.empty() ? 1
                                               : passes.back().number + 1;
  const std::int64_t seq =
      repeated ? stands->seq : append_pass(book, number, prepared, arguments, typed, context.now());
  passes = review::read_passes(book.book());
  const review::Pass& pass =
      *std::find_if(passes.begin(), passes.end(), [&](const review::Pass& p) { return p.number == number; });
  if (!context.json) {
    write_text(context, said(pass, seq, repeated, prepared.only, context.quiet));
    return ExitStatus::done;
  }
  const plan::Step* next = review::Progress(pass).due();
  write_json(context, Json::object()
                          .set("book", book_name)
                          .set("pass", number)
                          .set("title", pass.title)
                          .set("sha256", pass.sha256)
                          .set("trial", pass.trial)
                          .set("steps", pass.plan.steps.size())
                          .set("seq", seq)
                          .set("repeated", repeated)
                          .set("next", next != nullptr ? plan::to_json(*next) : Json()));
  return ExitStatus::done;
}

}  // namespace

Command begin_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
