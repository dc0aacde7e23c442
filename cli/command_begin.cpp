#include "cli/command.h"
#include "cli/selection.h"
#include "cli/session.h"
#include "cli/verbs.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/record/book_file.h>
#include <clampbook/record/seal.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/operation.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/utf8.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>

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
       {"--only", "BOLTS", "only these bolts belong on now: ids with commas, 3-7, or a group"},
       {"--tools", "FILE", "the tools that are used (format: tool list 1); log --tool names one"},
       {"--by", "NAME", "who does it"},
       {"--key", "K", "at most 64 characters: the same call again begins nothing twice"}},
      {"clampbook begin engine.book schedules/split-crankcase.yaml",
       "clampbook begin engine.book schedules/split-crankcase.yaml --trial",
       "clampbook begin engine.book schedules/connecting-rods.yaml --only \"cap 1\"",
       "clampbook begin engine.book schedules/compressor-build.yaml --operation casing"}};
  return kSpec;
}

// The schedule as it will be kept: whole, or for some bolts.
struct Prepared {
  text::SourcePtr source;
  std::string sha256;
  std::optional<std::string> only;
  std::shared_ptr<const plan::Plan> plan{};
  text::SourcePtr tools;                     ///< null without --tools
  std::optional<review::BuildPart> build{};  ///< of an operation
};

const schedule::Operation& find_operation(const schedule::Build& build, const std::string& name) {
  if (const schedule::Operation* found = build.find(name)) return *found;
  std::vector<std::string_view> names;
  for (const schedule::Operation& o : build.operations) names.push_back(o.name);
  std::string help = text::did_you_mean(name, names);
  if (help.empty()) help = "the build has " + text::list_words(names, "and");
  throw InputError(text::Diagnostic{"unknown-operation", fmt::format("operation '{}' is not known", name),
                                    std::move(help), whole(argument("--operation", name))});
}

// The bolts that belong on now: those of --only, which must be among those of the operation.
std::vector<std::size_t> bolts_of(const Arguments& arguments, const schedule::Schedule& schedule,
                                  const schedule::Operation* operation, std::optional<std::string>& only) {
  std::vector<std::size_t> out = operation != nullptr ? operation->only : std::vector<std::size_t>();
  if (!out.empty()) only = fmt::format("{}", fmt::join(operation->only_ids(), ","));
  const auto word = arguments.value("--only");
  if (!word) return out;
  if (schedule.bolts.empty())
    throw UsageError(
        text::Diagnostic{"bad-option", "--only has no meaning for an operation without bolts", ""});
  std::vector<std::size_t> chosen = schedule::select_bolts(schedule, argument("--only", *word));
  for (const std::size_t bolt : chosen)
    if (!out.empty() && std::find(out.begin(), out.end(), bolt) == out.end())
      throw InputError(
          text::Diagnostic{"not-in-pass",
                           fmt::format("bolt {} does not belong on yet: operation '{}' leaves it out",
                                       schedule.bolts[bolt].id, operation->name),
                           fmt::format("its bolts are {}", *only), whole(argument("--only", *word))});
  only = *word;
  return chosen;
}

void prepare_plan(Prepared& out, const schedule::Schedule& schedule, const schedule::Operation* operation,
                  const Arguments& arguments) {
  out.source = schedule.source;
  out.sha256 = record::sha256(out.source->text());
  std::optional<schedule::ToolList> list;
  if (const auto file = arguments.value("--tools")) {
    out.tools = text::read_file(*file, schedule::kLargestFile);
    list = schedule::read_tools(out.tools);
  }
  out.plan =
      plan::prepare(schedule, bolts_of(arguments, schedule, operation, out.only), list ? &*list : nullptr)
          .plan;
}

Prepared prepare(const Arguments& arguments) {
  Prepared out;
  const text::SourcePtr source = text::read_file(*arguments.operand("FILE"), schedule::kLargestFile);
  const auto name = arguments.value("--operation");
  if (!schedule::is_build(source->text())) {
    if (name)
      throw UsageError(text::Diagnostic{"bad-option", "--operation belongs to a build; this file is none",
                                        "leave it out", whole(argument("--operation", *name))});
    prepare_plan(out, schedule::read_schedule(source), nullptr, arguments);
    return out;
  }
  const schedule::Build build = schedule::read_build(source);
  if (!name)
    throw UsageError(text::Diagnostic{"missing-argument", "begin needs --operation NAME for a build",
                                      "clampbook plan FILE lists its operations"});
  const schedule::Operation& operation = find_operation(build, *name);
  prepare_plan(out, operation.schedule, &operation, arguments);
  out.build = review::build_part(build, operation, record::sha256(source->text()));
  return out;
}

std::int64_t append_pass(record::BookFile& book, std::int64_t number, const Prepared& prepared,
                         const Arguments& arguments, const std::string& typed, record::Timestamp now) {
  record::NewEvent begun{now, "begun"}, planned{now, "planned"};
  begun.members = {{"pass", number},
                   {"title", prepared.plan->title},
                   {"file", prepared.source->name()},
                   {"sha256", prepared.sha256},
                   {"trial", arguments.has("--trial")},
                   {"only", prepared.only ? Json(*prepared.only) : Json()},
                   {"program", fmt::format("clampbook {}", program_version())},
                   {"schedule", prepared.source->text()},
                   {"tools", prepared.tools ? Json(prepared.tools->text()) : Json()},
                   {"operation", prepared.build ? Json(prepared.build->operation) : Json()},
                   {"build", prepared.build ? review::to_record(*prepared.build) : Json()}};
  append_remarks(begun.members, arguments, typed);
  planned.members.emplace_back("pass", number);
  planned.members.emplace_back("plan", plan::to_record(*prepared.plan));
  return book.append({begun, planned}, now);
}

std::string said(const review::Pass& pass, std::int64_t seq, bool repeated,
                 const std::optional<std::string>& only, bool quiet) {
  std::string out =
      fmt::format("{} {}: {} pass {} of {} begun, {} {}\n", repeated ? "recorded before, as" : "recorded",
                  seq, pass.trial ? "trial" : "final", pass.number, text::printable(pass.title),
                  pass.plan.steps.size(), pass.plan.steps.size() == 1 ? "step" : "steps");
  if (pass.build) out += fmt::format("Operation: {}\n", text::printable(pass.build->operation));
  if (!quiet) {
    if (!pass.plan.notice.empty()) out += text::printable(pass.plan.notice) + "\n";
    for (const std::string_view caution : report::standing_cautions())
      out += report::wrapped(fmt::format("! {}", caution), 80, 0, 2) + "\n";
  }
  if (only) out += fmt::format("Only these bolts belong on now: {}\n", text::printable(*only));
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

// What stands against beginning the pass at all. It was begun all the same: first recorded, then judged.
std::vector<review::Finding> against(const record::Book& book, const std::vector<review::Pass>& passes,
                                     const review::Pass& pass) {
  std::vector<review::Finding> out;
  if (!pass.build) return out;
  for (review::Finding& f : review::find_findings(book, passes, pass, review::Until::so_far))
    if (f.seq == pass.seq && f.severity != review::Severity::note) out.push_back(std::move(f));
  return out;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  require_key(arguments);
  // Everything that can be refused is looked at before the book is touched.
  const Prepared prepared = prepare(arguments);
  const std::string typed = typed_content("begin", arguments);
  static_cast<void>(context.now());  // so can the clock
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
  const std::vector<review::Finding> findings = against(book.book(), passes, pass);
  const ExitStatus status = review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
  if (!context.json) {
    write_text(context, said(pass, seq, repeated, prepared.only, context.quiet) +
                            (context.quiet ? std::string() : open_too(passes, pass)) +
                            report::findings_text(findings, text_style(context)) +
                            report::next_line(pass, review::Progress(pass).due()));
    return status;
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
  return status;
}

}  // namespace

Command begin_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
