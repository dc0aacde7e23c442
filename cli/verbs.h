// The list of verbs.
#pragma once

#include "cli/command.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::cli {

[[nodiscard]] std::optional<Command> find_command(std::string_view verb);
[[nodiscard]] std::vector<std::string_view> verb_names();
/// The help screen without a verb.
[[nodiscard]] std::string overview();
[[nodiscard]] std::string_view program_version();

}  // namespace clampbook::cli
