#include <clampbook/schedule/build.h>

#include <algorithm>

namespace clampbook::schedule {

std::vector<std::string> Operation::only_ids() const {
  std::vector<std::string> out;
  for (const std::size_t bolt : only) out.push_back(schedule.bolts[bolt].id);
  return out;
}

const Operation* Build::find(std::string_view name) const {
  const auto found =
      std::find_if(operations.begin(), operations.end(), [&](const Operation& o) { return o.name == name; });
  return found == operations.end() ? nullptr : &*found;
}

std::vector<std::size_t> Build::in_order() const {
  std::vector<std::size_t> out;
  std::vector<bool> placed(operations.size());
  const auto stands = [&](const std::string& name) {
    const Operation* earlier = find(name);
    return earlier == nullptr || placed[static_cast<std::size_t>(earlier - operations.data())];
  };
  while (out.size() < operations.size()) {
    const std::size_t before = out.size();
    for (std::size_t i = 0; i < operations.size() && out.size() == before; ++i) {
      const std::vector<std::string>& after = operations[i].after;
      if (placed[i] || !std::all_of(after.begin(), after.end(), stands)) continue;
      placed[i] = true;
      out.push_back(i);
    }
    if (out.size() == before) break;  // a ring, which the reader refuses
  }
  return out;
}

bool is_build(std::string_view text) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  while (!text.empty()) {
    std::string_view line = text.substr(0, text.find('\n'));
    text.remove_prefix(std::min(line.size() + 1, text.size()));
    const std::size_t first = line.find_first_not_of(" \t\r");
    if (first == std::string_view::npos || line[first] == '#' || line.starts_with("---")) continue;
    line.remove_prefix(first);
    if (!line.starts_with("format:")) return false;
    line.remove_prefix(std::string_view("format:").size());
    line.remove_prefix(std::min(line.find_first_not_of(" \t\"'"), line.size()));
    return line.starts_with("build ");
  }
  return false;
}

}  // namespace clampbook::schedule
