// What `--tools FILE` adds to a plan and to a prediction.
#pragma once

#include "cli/arguments.h"

#include <clampbook/plan/tools.h>

#include <vector>

namespace clampbook::cli {

struct ToolUse {
  std::vector<plan::ToolChoice> choices{};
  std::vector<plan::Caution> cautions{};  ///< tool-coarse
};

/// Reads the list that --tools names and gives each stage of the whole plan its tool; nothing without
/// --tools. Throws InputError: what read_file and read_tools throw.
[[nodiscard]] ToolUse tool_use(const Arguments& arguments, const schedule::Schedule& schedule);

}  // namespace clampbook::cli
