// What `plan` reads and writes besides the schedule and the checklist: the tools, the sheet for the wall, the
// picture of the bolts.
#pragma once

#include "cli/command.h"

#include <clampbook/plan/plan.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/tool_list.h>

#include <optional>

#include <vector>

namespace clampbook::cli {

inline constexpr Option kSheetOption{"--sheet", "OUT.html",
                                     "writes the sheet to print and hang up, for A4 and Letter"};
inline constexpr Option kBoltsOption{"--svg", "OUT.svg", "writes the picture of the bolts with their turns"};

/// The list that --tools names; nothing without it. Throws InputError: what read_file and read_tools throw.
[[nodiscard]] std::optional<schedule::ToolList> tool_list(const Arguments& arguments);

/// Writes what --sheet and --svg ask for. True when either was given: then the checklist need not be printed.
bool write_plan_files(const Arguments& arguments, Context& context, const schedule::Schedule& schedule,
                      const plan::Plan& plan);

/// The sheet of a whole build, operation by operation, if --sheet asks for it; says whether it does. `plans`:
/// one for each operation, as written.
bool write_build_sheet(const Arguments& arguments, Context& context, const schedule::Build& build,
                       const std::vector<plan::Plan>& plans);

}  // namespace clampbook::cli
