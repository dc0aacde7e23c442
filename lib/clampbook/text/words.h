// "Did you mean": the nearest of the words that would have been right.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::text {

/// The candidates within a distance that a slip of the finger explains (a third of the length, at least
/// one edit, letters of either case counting as half), nearest first, at most `most`.
[[nodiscard]] std::vector<std::string> close_matches(std::string_view word,
                                                     std::span<const std::string_view> candidates,
                                                     std::size_t most = 3);

/// "did you mean X" / "did you mean X or Y"; empty when nothing is near.
[[nodiscard]] std::string did_you_mean(std::string_view word, std::span<const std::string_view> candidates);

/// "a, b or c"
[[nodiscard]] std::string list_words(std::span<const std::string_view> words, std::string_view last = "or");

}  // namespace clampbook::text
