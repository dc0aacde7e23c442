// Scripts that complete the command lines of this program, made from the tables of its verbs.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace clampbook::cli {

inline constexpr std::array<std::string_view, 3> kShells{"bash", "zsh", "fish"};

/// What a shell can offer where a value stands.
enum class Offer { nothing, files, folders, words };

/// What is offered for a placeholder of a table, such as "BOOK" (files), "DIR" (folders), "BOLTS" (nothing)
/// or "metric|imperial" (its words).
[[nodiscard]] Offer offer_for(std::string_view placeholder);

/// "metric|imperial" as "metric imperial".
[[nodiscard]] std::string offered_words(std::string_view placeholder);

[[nodiscard]] std::string bash_completion();
[[nodiscard]] std::string zsh_completion();
[[nodiscard]] std::string fish_completion();

/// The script for one of kShells; nothing for any other word.
[[nodiscard]] std::optional<std::string> completion_script(std::string_view shell);

}  // namespace clampbook::cli
