#include "cli/command.h"
#include "cli/plan_files.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/report/build_report.h>
#include <clampbook/report/checklist.h>
#include <clampbook/report/entry_table.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <ostream>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "plan",
      "Prints a schedule as an ordered checklist: windows in both unit systems, bolt picture, cautions.",
      {{"FILE", "a schedule (format: fastener schedule 1), or a build (format: build 1)"}},
      {{"--only", "BOLTS", "only these bolts: ids with commas, 3-7, or a group"},
       {"--tools", "FILE", "a tool list: each stage's tool, its setting, and whether it is fine enough"},
       kSheetOption,
       kBoltsOption,
       {"--csv", "", "the empty table, one row a step: fill it in for log --lines"},
       {"--strict", "", "exit with 1 when there are cautions"}},
      {"clampbook plan schedules/split-crankcase.yaml",
       "clampbook plan schedules/split-crankcase.yaml --only 1-4 --units imperial",
       "clampbook plan schedules/discharge-flange.yaml --tools schedules/tools.yaml",
       "clampbook plan schedules/split-crankcase.yaml --sheet sheet.html",
       "clampbook plan schedules/discharge-flange.yaml --json",
       "clampbook plan schedules/discharge-flange.yaml --csv > flange.csv",
       "clampbook plan schedules/compressor-build.yaml"}};
  return kSpec;
}

[[noreturn]] void refuse_option(std::string message, std::string help) {
  throw UsageError(text::Diagnostic{"bad-option", std::move(message), std::move(help)});
}

// The table has no room for what a plan must say besides its steps: that goes beside it.
void write_table(const plan::Plan& plan, Context& context) {
  const std::string table = report::entry_table(plan, fmt::format("p{:x}", context.now().milliseconds));
  context.out.write(table.data(), static_cast<std::streamsize>(table.size()));
  std::string said;
  if (!plan.notice.empty()) said += text::printable(plan.notice) + "\n";
  said += report::standing_cautions(80);
  if (!context.quiet)
    for (const plan::Caution& caution : plan.cautions)
      said +=
          report::wrapped(fmt::format("! {} [{}]", text::printable(caution.text), caution.slug), 80, 0, 2) +
          "\n";
  write_error(context, said);
}

ExitStatus run_build(const text::SourcePtr& source, const Arguments& arguments, Context& context) {
  for (const std::string_view option : {"--only", "--csv", "--svg"})
    if (arguments.has(option))
      refuse_option(fmt::format("{} has no meaning for a build", option),
                    "plan one of its schedules with it");
  const schedule::Build build = schedule::read_build(source);
  const std::optional<schedule::ToolList> tools = tool_list(arguments);
  std::vector<plan::Plan> plans;
  bool cautions = false;
  for (const schedule::Operation& operation : build.operations) {
    plans.push_back(*plan::prepare(operation.schedule, operation.only, tools ? &*tools : nullptr).plan);
    cautions = cautions || !plans.back().cautions.empty();
  }
  const bool to_file = write_build_sheet(arguments, context, build, plans);
  if (context.json) {
    write_json(context, report::build_json(build, plans));
  } else if (!to_file) {
    write_text(context, report::build_text(build, plans, text_style(context)));
  }
  return arguments.has("--strict") && cautions ? ExitStatus::falls_short : ExitStatus::done;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  if (arguments.has("--csv") && context.json)
    refuse_option("--csv and --json are two forms of output", "take one of them");
  const text::SourcePtr source = text::read_file(*arguments.operand("FILE"), schedule::kLargestFile);
  if (schedule::is_build(source->text())) return run_build(source, arguments, context);
  const schedule::Schedule schedule = schedule::read_schedule(source);
  std::vector<std::size_t> only;
  if (const auto bolts = arguments.value("--only"))
    only = schedule::select_bolts(schedule, argument("--only", *bolts));
  const std::optional<schedule::ToolList> tools = tool_list(arguments);
  const plan::Prepared prepared = plan::prepare(schedule, only, tools ? &*tools : nullptr);
  const plan::Plan& plan = *prepared.plan;
  const bool to_files = write_plan_files(arguments, context, schedule, plan);
  if (arguments.has("--csv")) {
    write_table(plan, context);
  } else if (context.json) {
    const std::string line = plan::to_json_text(plan) + '\n';
    context.out.write(line.data(), static_cast<std::streamsize>(line.size()));
  } else if (!to_files) {
    write_text(context, report::checklist(schedule, plan, text_style(context)));
  }
  return arguments.has("--strict") && !plan.cautions.empty() ? ExitStatus::falls_short : ExitStatus::done;
}

}  // namespace

Command plan_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
