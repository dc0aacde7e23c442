#include "cli/tool_use.h"

#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/read_file.h>

namespace clampbook::cli {

ToolUse tool_use(const Arguments& arguments, const schedule::Schedule& schedule) {
  const auto path = arguments.value("--tools");
  if (!path) return {};
  const schedule::ToolList tools = schedule::read_tools(text::read_file(*path, schedule::kLargestFile));
  const plan::Plan whole = plan::make_plan(schedule);
  ToolUse out{plan::choose_tools(whole, tools)};
  out.cautions = plan::tool_cautions(whole, tools, out.choices);
  return out;
}

}  // namespace clampbook::cli
