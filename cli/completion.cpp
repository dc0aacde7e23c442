#include "cli/completion.h"

#include <algorithm>

namespace clampbook::cli {

Offer offer_for(std::string_view placeholder) {
  constexpr std::array<std::string_view, 6> kFiles{"BOOK", "FILE", "FILE|-", "SOURCE", "OUT.html", "OUT.svg"};
  if (std::find(kFiles.begin(), kFiles.end(), placeholder) != kFiles.end()) return Offer::files;
  if (placeholder == "DIR") return Offer::folders;
  const bool literal = std::all_of(placeholder.begin(), placeholder.end(),
                                   [](char c) { return c == '|' || (c >= 'a' && c <= 'z'); });
  return literal && placeholder.find('|') != std::string_view::npos ? Offer::words : Offer::nothing;
}

std::string offered_words(std::string_view placeholder) {
  std::string out(placeholder);
  std::replace(out.begin(), out.end(), '|', ' ');
  return out;
}

std::optional<std::string> completion_script(std::string_view shell) {
  if (shell == "bash") return bash_completion();
  if (shell == "zsh") return zsh_completion();
  if (shell == "fish") return fish_completion();
  return std::nullopt;
}

}  // namespace clampbook::cli
