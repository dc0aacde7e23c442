#include <clampbook/schedule/line_template.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace clampbook::schedule {

namespace {

constexpr std::string_view kExample = "for example 'P{skip}={torque} N·m @{angle}'";
constexpr std::array<std::string_view, 3> kPlaceholders = {"torque", "angle", "skip"};

std::string help_for(std::string_view word) {
  const std::string near = text::did_you_mean(word, kPlaceholders);
  return near.empty() ? "known here: " + text::list_words(kPlaceholders, "and") : near;
}

struct Checker {
  std::string_view line;
  char decimal;
  std::size_t torques = 0;
  std::size_t angles = 0;

  // The placeholder that opens at `open`; moves `end` behind its brace.
  std::optional<TargetFault> placeholder(std::size_t open, std::size_t& end) {
    const std::size_t close = line.find_first_of("{}", open + 1);
    if (close == std::string_view::npos || line[close] == '{')
      return TargetFault{"wrong-shape", "a { without its }", std::string(kExample), open, 1};
    end = close + 1;
    const std::string_view word = line.substr(open + 1, close - open - 1);
    if (std::find(kPlaceholders.begin(), kPlaceholders.end(), word) == kPlaceholders.end()) {
      return TargetFault{"unknown-word", fmt::format("the placeholder {{{}}} is not known", word),
                         help_for(word), open, end - open};
    }
    if ((word == "torque" && ++torques > 1) || (word == "angle" && ++angles > 1)) {
      return TargetFault{"duplicate-key", fmt::format("{{{}}} stands there twice", word),
                         "write {skip} for what is of no interest", open, end - open};
    }
    if (end == line.size()) return std::nullopt;
    if (line[end] == '{') {
      return TargetFault{"wrong-shape", "two placeholders touch, and nothing tells where one ends",
                         "write what stands between them", open, end - open};
    }
    if (word != "skip" && line[end] == decimal) {
      return TargetFault{"conflicting-keys",
                         fmt::format("a '{}' follows {{{}}}, and is its decimal sign too", decimal, word),
                         "let the tool divide its columns with another sign", open, end - open + 1};
    }
    return std::nullopt;
  }
};

}  // namespace

std::optional<TargetFault> check_line_template(std::string_view line, DecimalSign decimal) {
  Checker checker{line, decimal == DecimalSign::comma ? ',' : '.'};
  for (std::size_t i = 0; i < line.size();) {
    if (line[i] == '}') return TargetFault{"wrong-shape", "a } without its {", std::string(kExample), i, 1};
    if (line[i] != '{') {
      ++i;
      continue;
    }
    std::size_t end = i;
    if (auto fault = checker.placeholder(i, end)) return fault;
    i = end;
  }
  if (checker.torques + checker.angles == 0) {
    return TargetFault{"missing-key", "neither {torque} nor {angle} stands in it", std::string(kExample), 0,
                       line.size()};
  }
  return std::nullopt;
}

}  // namespace clampbook::schedule
