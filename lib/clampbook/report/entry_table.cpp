#include <clampbook/bench/rows.h>
#include <clampbook/report/entry_table.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/csv.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <unordered_map>

namespace clampbook::report {

using bench::Column;
using plan::Step;

namespace {

std::string window(const Step& step) {
  if (step.low && step.high) return units::format_range(*step.low, *step.high, step.high->unit());
  if (step.low) return "at least " + units::format(*step.low);
  if (step.high) return "at most " + units::format(*step.high);
  if (step.expect) return std::to_string(*step.expect);
  return {};
}

std::string target(const Step& step) {
  if (!step.target || step.target->dimension() == units::Dimension::ratio) return {};
  return units::format(*step.target);
}

// What changes the setting of the wrench stands beside the target.
std::string text(const Step& step, const plan::PlanStage& stage) {
  std::string out = step.text;
  if (step.prevailing && (step.setting || step.final_torque))
    out += fmt::format("; {} more for the prevailing torque", units::format(*step.prevailing));
  if (stage.tool && step.bolt) out += "; tool: " + stage.tool->text;
  if (stage.tool && !stage.tool->adapter.empty()) out += "; " + stage.tool->adapter;
  if (step.setting && step.target && step.setting->si() != step.target->si())
    out += fmt::format("; set the wrench to {}", units::format(*step.setting));
  if (step.pulls_to_yield()) out += fmt::format("; {}", text::kYieldCautionInShort);
  return out;
}

}  // namespace

std::string entry_table(const plan::Plan& plan, std::string_view print) {
  std::unordered_map<int, const plan::PlanStage*> stages;
  for (const plan::PlanStage& stage : plan.stages) stages[stage.stage] = &stage;
  std::string out = fmt::format("{}\n", fmt::join(bench::kColumnNames, ","));
  for (const Step& step : plan.steps) {
    const plan::PlanStage& stage = *stages.at(step.stage);
    bench::Row row;
    row[Column::bolt] = step.bolt.value_or("");
    row[Column::stage] = std::to_string(step.stage);
    row[Column::key] = fmt::format("{}-{}", print, step.step);
    row[Column::step] = std::to_string(step.step);
    row[Column::target] = target(step);
    row[Column::window] = window(step);
    row[Column::text] = text(step, stage);
    out += text::csv_row(row.fields());
  }
  return out;
}

}  // namespace clampbook::report
