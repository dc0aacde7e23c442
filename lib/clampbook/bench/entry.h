// Where an entry belongs, and what it says: everything that can be refused is refused here, before anything
// is written.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>
#include <clampbook/record/line.h>
#include <clampbook/review/pass.h>

#include <optional>
#include <string>

namespace clampbook::bench {

/// What does not need the book: parts that exclude each other, the time, the key. Throws UsageError,
/// InputError.
void check(const EntryRequest& request, record::Timestamp now);

/// The line that the entry makes in this pass. `book` is the book's name, for messages. Throws UsageError:
/// missing-argument, bad-option; InputError: whatever a word has wrong, nothing-due, wrong-dimension.
[[nodiscard]] record::Draft draft_for(const review::Pass& pass, const EntryRequest& request,
                                      const std::string& book, record::Timestamp now);

/// What stands beside a line. Text that is not UTF-8 is mended: a book holds nothing else.
[[nodiscard]] record::Remarks remarks_of(const Words& words, const std::optional<Word>& key,
                                         std::string typed);

}  // namespace clampbook::bench
