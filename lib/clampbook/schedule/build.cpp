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
  const auto take = [&](std::string_view word) {
    const bool there = text.starts_with(word);
    if (there) text.remove_prefix(word.size());
    return there;
  };
  const auto take_quote = [&] { return take("\"") || take("'"); };
  const auto skip_blank = [&] {  // and comments
    while (!text.empty()) {
      text.remove_prefix(std::min(text.find_first_not_of(" \t\r\n"), text.size()));
      if (!text.starts_with('#')) return;
      text.remove_prefix(std::min(text.find('\n'), text.size()));
    }
  };
  static_cast<void>(take("\xEF\xBB\xBF"));
  skip_blank();
  if (take("---")) skip_blank();
  if (take("{")) skip_blank();
  static_cast<void>(take_quote());
  if (!take("format")) return false;
  static_cast<void>(take_quote());
  skip_blank();
  if (!take(":")) return false;
  skip_blank();
  static_cast<void>(take_quote());
  return text.starts_with("build ");
}

}  // namespace clampbook::schedule
