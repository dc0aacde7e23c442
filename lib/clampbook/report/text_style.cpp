#include <clampbook/report/text_style.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using units::Measured;
using units::System;

namespace {

struct Pair {
  const units::Unit& first;
  const units::Unit& second;
};

Pair pair_of(const Measured& value, const TextStyle& style) {
  const units::Unit& metric = units::unit_in(System::metric, value);
  const units::Unit& imperial = units::unit_in(System::imperial, value);
  const bool imperial_first = style.system ? *style.system == System::imperial : value.unit().imperial;
  return imperial_first ? Pair{imperial, metric} : Pair{metric, imperial};
}

// A micrometer's reading has more digits that matter than a torque's: as typed, it keeps them.
std::string figure(const Measured& value, const units::Unit& unit) {
  if (&unit == &value.unit() && value.dimension() == units::Dimension::length)
    return units::with_unit(units::significant(value.number(), 6), unit);
  return units::format(value, unit);
}

}  // namespace

std::string both_systems(const Measured& value, const TextStyle& style) {
  const Pair units = pair_of(value, style);
  if (&units.first == &units.second) return figure(value, units.first);
  return fmt::format("{} ({})", figure(value, units.first), figure(value, units.second));
}

std::string both_systems(const Measured& low, const Measured& high, const TextStyle& style) {
  const Pair units = pair_of(high, style);
  std::string first = units::format_range(low, high, units.first);
  if (&units.first == &units.second) return first;
  return fmt::format("{} ({})", first, units::format_range(low, high, units.second));
}

std::string wrapped(std::string_view text, std::size_t width, std::size_t first, std::size_t rest) {
  std::string out(first, ' ');
  std::size_t column = first;
  bool fresh = true;  // nothing stands on this line yet
  while (!text.empty()) {
    const std::size_t space = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, space);
    const std::size_t columns = text::display_width(word);
    if (!fresh && column + 1 + columns > width) {
      out += "\n" + std::string(rest, ' ');
      column = rest;
      fresh = true;
    }
    if (!fresh) {
      out.push_back(' ');
      ++column;
    }
    out += word;
    column += columns;
    fresh = false;
    text.remove_prefix(std::min(space + 1, text.size()));
  }
  return out;
}

std::string padded(std::string_view text, std::size_t width) {
  std::string out(text);
  for (std::size_t columns = text::display_width(text); columns < width; ++columns) out.push_back(' ');
  return out;
}

std::string standing_cautions(std::size_t width) {
  std::string out;
  for (const std::string_view caution : text::kStandingCautions)
    out += wrapped(fmt::format("! {}", caution), width, 0, 2) + "\n";
  return out;
}

}  // namespace clampbook::report
