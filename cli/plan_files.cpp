#include "cli/plan_files.h"
#include "cli/command.h"
#include "cli/output.h"

#include <clampbook/record/seal.h>
#include <clampbook/report/bolt_drawing.h>
#include <clampbook/report/sheet.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fmt/format.h>

namespace clampbook::cli {

namespace {

void write_sheet(const std::string& path, std::string_view title, const std::vector<report::SheetPart>& parts,
                 std::initializer_list<std::string> inputs, Context& context) {
  const report::Sheet sheet = report::sheet(title, parts, text_style(context));
  write_output(path, sheet.html, inputs);
  say_written(context, path,
              fmt::format("{} {} on A4 or Letter", sheet.pages, sheet.pages == 1 ? "page" : "pages"));
}

}  // namespace

std::optional<schedule::ToolList> tool_list(const Arguments& arguments) {
  const auto path = arguments.value("--tools");
  if (!path) return std::nullopt;
  return schedule::read_tools(text::read_file(*path, schedule::kLargestFile));
}

bool write_plan_files(const Arguments& arguments, Context& context, const schedule::Schedule& schedule,
                      const plan::Plan& plan) {
  const std::string file = *arguments.operand("FILE"), tools = arguments.value("--tools").value_or("");
  if (arguments.has("--sheet") && arguments.value("--sheet") == arguments.value("--svg"))
    throw UsageError(text::Diagnostic{"bad-option", "--sheet and --svg name the same file",
                                      "give each a name of its own",
                                      whole(argument("--svg", *arguments.value("--svg")))});
  if (const auto path = arguments.value("--sheet")) {
    write_sheet(*path, plan.title, {{schedule, plan, record::sha256(schedule.source->text())}}, {file, tools},
                context);
  }
  if (const auto path = arguments.value("--svg")) {
    write_output(*path, report::bolt_drawing(plan, {}, report::Setting::file).svg, {file, tools});
    say_written(context, *path);
  }
  return arguments.has("--sheet") || arguments.has("--svg");
}

bool write_build_sheet(const Arguments& arguments, Context& context, const schedule::Build& build,
                       const std::vector<plan::Plan>& plans) {
  const auto path = arguments.value("--sheet");
  if (!path) return false;
  std::vector<report::SheetPart> parts;
  for (const std::size_t i : build.in_order()) {
    const schedule::Operation& operation = build.operations[i];
    std::string name = fmt::format("{}: {}", build.title, operation.name);
    if (!operation.after.empty()) name += fmt::format(" (after {})", fmt::join(operation.after, ", "));
    parts.push_back({operation.schedule, plans[i], record::sha256(operation.schedule.source->text()), name});
  }
  write_sheet(*path, build.title, parts,
              {*arguments.operand("FILE"), arguments.value("--tools").value_or("")}, context);
  return true;
}

}  // namespace clampbook::cli
