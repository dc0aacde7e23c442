#include <clampbook/joint/domain.h>
#include <clampbook/joint/lubricant.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <vector>

namespace clampbook::joint {

namespace {

struct Row {
  std::string_view name;
  double low;
  double nominal;
  double high;
};

constexpr Row kLubricants[] = {
#include <clampbook/joint/data/lubricants.inc>
};

constexpr double kLeastFriction = 1e-6;
constexpr double kSingleFigureSpread = 0.2;

}  // namespace

std::span<const std::string_view> lubricant_names() {
  static const std::vector<std::string_view> names = [] {
    std::vector<std::string_view> out;
    for (const Row& row : kLubricants) out.push_back(row.name);
    return out;
  }();
  return names;
}

Found<Lubricant> find_lubricant(std::string_view name) {
  for (const Row& row : kLubricants) {
    if (row.name != name) continue;
    const FrictionRange range{row.low, row.nominal, row.high};
    return Lubricant{range, range};
  }
  std::string help = text::did_you_mean(name, lubricant_names());
  if (help.empty()) {
    help = "known are " + text::list_words(lubricant_names(), "and") +
           "; or write {thread: 0.10..0.16, seat: 0.12}";
  }
  return NotFound{fmt::format("'{}' is not a known lubricant", name), std::move(help)};
}

FrictionRange friction_about(double value) {
  require_between(value, kLeastFriction, 1 / (1 + kSingleFigureSpread), "friction");
  return {value * (1 - kSingleFigureSpread), value, value * (1 + kSingleFigureSpread)};
}

FrictionRange friction_between(double low, double high) {
  require_between(low, kLeastFriction, 1, "lower friction");
  require_between(high, low, 1, "upper friction");
  return {low, (low + high) / 2, high};
}

}  // namespace clampbook::joint
