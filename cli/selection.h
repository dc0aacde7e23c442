// Finding what the words of a command line mean in a book: the pass, the bolt, the step.
#pragma once

#include "cli/command.h"

#include <clampbook/review/pass.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::cli {

/// A word of the command line as a source, so that errors can point into it.
[[nodiscard]] text::SourcePtr argument(std::string_view name, std::string_view word);
[[nodiscard]] text::Location whole(const text::SourcePtr& argument);

enum class PassFor { writing, amending, reading };

/// The pass that --pass names; without it the only open one (for writing and amending; a
/// book with a single pass means that one) or the latest (for reading).
/// Throws UsageError: which-pass, no-open-pass; InputError: bad-number, altered-record.
[[nodiscard]] review::Pass& select_pass(std::vector<review::Pass>& passes, const Arguments& arguments,
                                        PassFor purpose, const std::string& book);

/// Throws InputError: unknown-bolt, not-in-pass.
void require_bolt(const review::Pass& pass, const std::string& id);

/// The number of the stage that a number or a name means. Throws InputError: unknown-stage.
[[nodiscard]] int find_stage(const review::Pass& pass, const std::string& word);

/// The time that --at gives, else `now`. Throws InputError: bad-time, future-time.
[[nodiscard]] record::Timestamp time_taken(const Arguments& arguments, record::Timestamp now);

/// Throws UsageError (bad-option) for a key that is empty or longer than 64 characters.
void require_key(const Arguments& arguments);

}  // namespace clampbook::cli
