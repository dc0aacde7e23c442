// The same call twice: a key stands for what was typed, and answers with the line that it made.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/bench/request.h>

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace clampbook::bench {

/// What was typed, by name, apart from the book, the key and how to print.
using TypedWords = std::vector<std::pair<std::string, std::string>>;

/// The digest that a book keeps beside a key. Its recipe never changes: books of every age hold it.
/// `operands` and `options` in the order of their names; a flag's text is empty.
[[nodiscard]] std::string typed_digest(std::string_view verb, const TypedWords& operands,
                                       const TypedWords& options);

/// As the line `log BOOK ...` digests what the request says.
[[nodiscard]] std::string typed_digest(const EntryRequest& request);
/// As the line `amend BOOK ...` does.
[[nodiscard]] std::string typed_digest(const AmendRequest& request);

/// Throws UsageError (bad-option) for a key that is empty, longer than 64 characters, or no UTF-8.
void require_key(const std::optional<Word>& key);

}  // namespace clampbook::bench
