#include "cli/command.h"
#include "cli/selection.h"
#include "cli/verbs.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/record/book_file.h>
#include <clampbook/record/seal.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/pass.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
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
      {{"BOOK", "the record file"}, {"FILE", "a schedule"}},
      {{"--trial", "", "a trial pass: its bolts count as tightened, the joint not as built"},
       {"--only", "BOLTS", "only these bolts belong on now: ids with commas, 3-7, or a group"},
       {"--by", "NAME", "who does it"}},
      {"clampbook begin engine.book schedules/split-crankcase.yaml", "clampbook begin engine.book schedules/split-crankcase.yaml --trial",
       "clampbook begin engine.book schedules/connecting-rods.yaml --only cap-1 --by Maren"}};
  return kSpec;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK"), file = *arguments.operand("FILE");
  // Everything that can be refused is looked at before the book is touched.
  const text::SourcePtr source = text::read_file(file, schedule::kLargestFile);
  const schedule::Schedule schedule = schedule::read_schedule(source);
  const auto only_word = arguments.value("--only");
  std::vector<std::size_t> only;
  if (only_word) only = schedule::select_bolts(schedule, argument("--only", *only_word));
  plan::Plan plan = plan::make_plan(schedule, only);
  plan::mark_yielding_steps(plan, plan::predict(schedule));
  const std::string sha256 = record::sha256(source->text());
  const bool trial = arguments.has("--trial");

  record::BookFile book(book_name, record::BookFile::Missing::create);
  const std::vector<review::Pass> earlier = review::read_passes(book.book(), book_name);
  const std::int64_t number = earlier.empty() ? 1 : earlier.back().number + 1;
  const record::Timestamp now = context.now();
  record::NewEvent begun{now, "begun"}, planned{now, "planned"};
  begun.members = {{"pass", number}, {"title", schedule.title}, {"file", file}, {"sha256", sha256}, {"trial", trial},
                   {"only", only_word ? Json(*only_word) : Json()}, {"program", fmt::format("clampbook {}", program_version())},
                   {"schedule", source->text()}, {"by", arguments.value("--by")}};
  planned.members = {{"pass", number}, {"plan", plan::to_record(plan)}};
  const std::int64_t seq = book.append({begun, planned}, now);

  const plan::Step* next = plan.steps.empty() ? nullptr : &plan.steps.front();
  if (context.json) {
    write_json(context, Json::object()
                            .set("book", book_name)
                            .set("pass", number)
                            .set("title", schedule.title)
                            .set("sha256", sha256)
                            .set("trial", trial)
                            .set("steps", plan.steps.size())
                            .set("seq", seq)
                            .set("repeated", false)
                            .set("next", next != nullptr ? plan::to_json(*next) : Json()));
    return ExitStatus::done;
  }
  std::string out = fmt::format("recorded {}: {} pass {} of {} begun, {} steps\n", seq, trial ? "trial" : "final", number, text::printable(schedule.title), plan.steps.size());
  if (!context.quiet) {
    if (!schedule.notice.empty()) out += text::printable(schedule.notice) + "\n";
    for (const std::string_view caution : report::standing_cautions()) out += report::wrapped(fmt::format("! {}", caution), 80, 0, 2) + "\n";
  }
  if (only_word) out += fmt::format("Only these bolts belong on now: {}\n", text::printable(*only_word));
  out += report::next_line(next);
  write_text(context, out);
  return ExitStatus::done;
}

}  // namespace

Command begin_command() { return {spec(), run}; }

}  // namespace clampbook::cli
