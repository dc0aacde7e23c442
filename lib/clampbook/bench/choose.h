// Finding what words mean in a book: the pass, the bolt, the stage, the line, the time.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/review/pass.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::bench {

enum class PassFor { writing, amending, reading };

/// The pass that `pass` names; without it the only open one (for writing and amending; a book with a single
/// pass means that one) or the latest (for reading). `book` is the book's name, for messages.
/// Throws UsageError: which-pass, no-open-pass; InputError: bad-number, altered-record.
[[nodiscard]] const review::Pass& choose_pass(const std::vector<review::Pass>& passes,
                                              const std::optional<Word>& pass, PassFor purpose,
                                              const std::string& book);

/// Throws InputError: unknown-bolt, not-in-pass.
void require_bolt(const review::Pass& pass, const Word& bolt);

/// Bolts by ids, ranges and groups, from the plan that the pass was begun with. Throws InputError as
/// require_bolt does.
[[nodiscard]] std::vector<std::string> choose_bolts(const review::Pass& pass, const Word& words);

/// The number of the stage that a number or a name means. Throws InputError: unknown-stage.
[[nodiscard]] int choose_stage(const review::Pass& pass, const Word& stage);

/// A whole number from 0 to a thousand million. Throws InputError: bad-number.
[[nodiscard]] std::int64_t whole_number(const Word& word);

/// The time that `at` gives, else `now`. Throws InputError: bad-time, future-time.
[[nodiscard]] record::Timestamp time_taken(const std::optional<Word>& at, record::Timestamp now);

/// The tool of the pass's list; nullptr when it is no torque wrench of a list. Throws InputError
/// (unknown-tool).
[[nodiscard]] const schedule::TorqueWrench* choose_wrench(const review::Pass& pass,
                                                          const std::optional<Word>& tool);

}  // namespace clampbook::bench
