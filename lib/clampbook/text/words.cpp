#include <clampbook/text/words.h>

#include <algorithm>
#include <cctype>

namespace clampbook::text {

namespace {

bool same_but_for_case(char a, char b) {
  return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
}

// Optimal string alignment in half edits: insert, delete, replace, swap cost 2, a change of case 1.
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = 2 * j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = 2 * i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = a[i - 1] == b[j - 1] ? 0 : same_but_for_case(a[i - 1], b[j - 1]) ? 1 : 2;
      now[j] = std::min({last[j] + 2, now[j - 1] + 2, last[j - 1] + change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        now[j] = std::min(now[j], before[j - 2] + 2);
    }
    before.swap(last);
    last.swap(now);
  }
  return last[b.size()];
}

}  // namespace

std::vector<std::string> close_matches(std::string_view word, std::span<const std::string_view> candidates,
                                       std::size_t most) {
  if (word.empty() || word.size() > 64) return {};
  std::vector<std::pair<std::size_t, std::string_view>> near;
  for (const std::string_view candidate : candidates) {
    if (candidate.size() > 64) continue;
    const std::size_t allowed = std::max<std::size_t>(2, 2 * std::min(word.size(), candidate.size()) / 3);
    const std::size_t d = distance(word, candidate);
    if (d <= allowed && d < 2 * std::max(word.size(), candidate.size())) near.emplace_back(d, candidate);
  }
  std::stable_sort(near.begin(), near.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::string> out;
  for (const auto& [d, candidate] : near) {
    if (out.size() == most || d > near.front().first + 1) break;
    if (std::find(out.begin(), out.end(), candidate) == out.end()) out.emplace_back(candidate);
  }
  return out;
}

std::string list_words(std::span<const std::string_view> words, std::string_view last) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " " + std::string(last) + " " : std::string(", ");
    out += words[i];
  }
  return out;
}

std::string did_you_mean(std::string_view word, std::span<const std::string_view> candidates) {
  const std::vector<std::string> near = close_matches(word, candidates);
  if (near.empty()) return {};
  const std::vector<std::string_view> views(near.begin(), near.end());
  return "did you mean " + list_words(views);
}

}  // namespace clampbook::text
