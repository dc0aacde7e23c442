// Many entries from one file: each row is on disk before the next is read.
#pragma once

#include "cli/command.h"

namespace clampbook::cli {

[[nodiscard]] ExitStatus log_lines(const Arguments& arguments, Context& context);

}  // namespace clampbook::cli
