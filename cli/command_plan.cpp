#include "cli/command.h"
#include "cli/plan_files.h"
#include "cli/selection.h"
#include "cli/tool_use.h"

#include <clampbook/plan/cautions.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/report/checklist.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/read_file.h>

#include <ostream>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "plan",
      "Prints a schedule as an ordered checklist: windows in both unit systems, bolt picture, cautions.",
      {{"FILE", "a schedule (format: fastener schedule 1)"}},
      {{"--only", "BOLTS", "only these bolts: ids with commas, 3-7, or a group"},
       {"--tools", "FILE", "a tool list: each stage's tool, its setting, and whether it is fine enough"},
       kSheetOption,
       kBoltsOption,
       {"--strict", "", "exit with 1 when there are cautions"}},
      {"clampbook plan schedules/split-crankcase.yaml",
       "clampbook plan schedules/split-crankcase.yaml --only 1-4 --units imperial",
       "clampbook plan schedules/discharge-flange.yaml --tools schedules/tools.yaml",
       "clampbook plan schedules/split-crankcase.yaml --sheet sheet.html",
       "clampbook plan schedules/discharge-flange.yaml --json"}};
  return kSpec;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const schedule::Schedule schedule =
      schedule::read_schedule(text::read_file(*arguments.operand("FILE"), schedule::kLargestFile));
  std::vector<std::size_t> only;
  if (const auto bolts = arguments.value("--only"))
    only = schedule::select_bolts(schedule, argument("--only", *bolts));
  plan::Plan plan = plan::make_plan(schedule, only);
  const ToolUse tools = tool_use(arguments, schedule);
  plan::use_tools(plan, tools.choices);
  plan::PredictionOptions options;
  options.accuracies = plan::accuracies_of(tools.choices);
  const std::vector<plan::FastenerPrediction> predictions = plan::predict(schedule, options);
  plan.cautions = plan::find_cautions(schedule, predictions);
  plan.cautions.insert(plan.cautions.end(), tools.cautions.begin(), tools.cautions.end());
  plan::mark_yielding_steps(plan, predictions);
  const bool to_files = write_plan_files(arguments, context, schedule, plan);
  if (context.json) {
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
