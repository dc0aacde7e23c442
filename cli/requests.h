// The one mapping from a command line to what may be asked of a pass.
#pragma once

#include "cli/arguments.h"

#include <clampbook/bench/request.h>

#include <optional>
#include <string_view>

namespace clampbook::cli {

/// An option or an operand as a word that errors can point into; nothing when it was not given.
[[nodiscard]] std::optional<bench::Word> word_of(const Arguments& arguments, std::string_view name);

/// What `log` is asked for.
[[nodiscard]] bench::EntryRequest entry_request(const Arguments& arguments);
/// What `amend` is asked for. Throws UsageError: missing-argument, bad-option.
[[nodiscard]] bench::AmendRequest amend_request(const Arguments& arguments);

}  // namespace clampbook::cli
