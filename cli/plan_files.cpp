#include "cli/plan_files.h"
#include "cli/output.h"

#include <clampbook/record/seal.h>
#include <clampbook/report/bolt_drawing.h>
#include <clampbook/report/sheet.h>

#include <fmt/format.h>

namespace clampbook::cli {

bool write_plan_files(const Arguments& arguments, Context& context, const schedule::Schedule& schedule,
                      const plan::Plan& plan) {
  const std::string file = *arguments.operand("FILE"), tools = arguments.value("--tools").value_or("");
  if (const auto path = arguments.value("--sheet")) {
    const report::Sheet sheet =
        report::sheet(schedule, plan, record::sha256(schedule.source->text()), text_style(context));
    write_output(*path, sheet.html, {file, tools});
    say_written(context, *path,
                fmt::format("{} {} on A4 or Letter", sheet.pages, sheet.pages == 1 ? "page" : "pages"));
  }
  if (const auto path = arguments.value("--svg")) {
    write_output(*path, report::bolt_drawing(plan, {}, report::Setting::file).svg, {file, tools});
    say_written(context, *path);
  }
  return arguments.has("--sheet") || arguments.has("--svg");
}

}  // namespace clampbook::cli
