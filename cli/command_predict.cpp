#include "cli/command.h"
#include "cli/output.h"
#include "cli/plan_files.h"

#include <clampbook/plan/prediction_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/plan/rounds.h>
#include <clampbook/report/prediction_drawing.h>
#include <clampbook/report/prediction_text.h>
#include <clampbook/report/rounds_text.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/read_file.h>

#include <fmt/format.h>

#include <cmath>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "predict",
      "Says what each stage does to the bolt: clamp load, torque, yield and growth, each with its interval.",
      {{"FILE", "a schedule"}},
      {{"--tools", "FILE", "a tool list: the limits of error of its wrenches and gauges"},
       {"--samples", "N", "samples of the scatter, 100 to 1000000 (default 4096)"},
       {"--svg", "OUT.svg", "writes clamp load and torque against the turn, as a drawing"},
       {"--rounds", "", "what neighbours take from each other, and how many rounds even it out"},
       {"--strict", "", "exit with 1 when there are cautions"}},
      {"clampbook predict schedules/split-crankcase.yaml",
       "clampbook predict schedules/connecting-rods.yaml --units imperial",
       "clampbook predict schedules/discharge-flange.yaml --tools schedules/tools.yaml",
       "clampbook predict schedules/split-crankcase.yaml --svg crankcase.svg",
       "clampbook predict schedules/discharge-flange.yaml --json"}};
  return kSpec;
}

std::size_t read_samples(const std::string& word) {
  const text::Location at = whole(argument("--samples", word));
  const text::NumberScan scan = text::scan_number(word);
  if (!scan)
    throw InputError(text::Diagnostic{std::string(text::slug(scan.fault)), text::describe(scan.fault, word),
                                      text::suggest(scan.fault, word), at});
  if (scan.value < 100 || scan.value > 1e6 || scan.value != std::floor(scan.value))
    throw InputError(text::Diagnostic{
        "out-of-domain", fmt::format("{} is not a whole number from 100 to 1000000", word), "", at});
  return static_cast<std::size_t>(scan.value);
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const auto word = arguments.value("--samples");
  const std::size_t samples = word ? read_samples(*word) : joint::kPredictionSamples;
  const schedule::Schedule schedule =
      schedule::read_schedule(text::read_file(*arguments.operand("FILE"), schedule::kLargestFile));
  const report::TextStyle style = text_style(context, schedule.written_in());
  const std::optional<schedule::ToolList> tools = tool_list(arguments);
  const plan::Prepared prepared = plan::prepare(schedule, {}, tools ? &*tools : nullptr, samples);
  const std::vector<plan::FastenerPrediction>& predictions = prepared.predictions;
  const std::vector<plan::Caution>& cautions = prepared.plan->cautions;
  const auto drawing = arguments.value("--svg");
  if (drawing) {
    write_output(*drawing, report::prediction_drawing(schedule, predictions, prepared.options, style),
                 {*arguments.operand("FILE"), arguments.value("--tools").value_or("")});
    say_written(context, *drawing);
  }
  if (context.json) {
    text::Json out = plan::to_json(predictions, cautions);
    if (arguments.has("--rounds"))
      out.set("rounds", plan::rounds_json(plan::predict_rounds(schedule, predictions)));
    write_json(context, out);
  } else if (!drawing || arguments.has("--rounds")) {
    std::string out = report::prediction_text(schedule, predictions, cautions, style);
    if (arguments.has("--rounds"))
      out += report::rounds_text(plan::predict_rounds(schedule, predictions), style);
    write_text(context, out);
  }
  return arguments.has("--strict") && !cautions.empty() ? ExitStatus::falls_short : ExitStatus::done;
}

}  // namespace

Command predict_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
