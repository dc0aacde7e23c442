#include <clampbook/joint/domain.h>
#include <clampbook/joint/head.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <span>

namespace clampbook::joint {

namespace {

struct Row {
  double diameter;
  double width;  // across the flats of a hexagon, or the head's diameter
  double bearing;
};

constexpr Row kHexagon[] = {
#include <clampbook/joint/data/hexagon_heads.inc>
};
constexpr Row kSocket[] = {
#include <clampbook/joint/data/socket_heads.inc>
};
constexpr Row kInchHexagon[] = {
#include <clampbook/joint/data/inch_hexagon_heads.inc>
};
constexpr Row kInchSocket[] = {
#include <clampbook/joint/data/inch_socket_heads.inc>
};

}  // namespace

Found<HeadShape> find_head(std::string_view name) {
  if (name == "hexagon") return HeadShape::hexagon;
  if (name == "socket") return HeadShape::socket;
  constexpr std::array<std::string_view, 2> kNames = {"hexagon", "socket"};
  std::string help = text::did_you_mean(name, kNames);
  if (help.empty()) help = "write hexagon, socket or {bearing: 14.6 mm}";
  return NotFound{fmt::format("'{}' is not a head", name), std::move(help)};
}

Found<Head> find_standard_head(HeadShape shape, const Thread& thread) {
  const bool inch = thread.form() == ThreadForm::unified;
  const bool hexagon = shape == HeadShape::hexagon;
  const std::span<const Row> rows = inch ? (hexagon ? std::span<const Row>(kInchHexagon) : kInchSocket)
                                         : (hexagon ? std::span<const Row>(kHexagon) : kSocket);
  const units::Scale<Length> unit = inch ? units::inch : units::millimetre;
  const double size = units::value_in(thread.diameter(), unit);
  for (const Row& row : rows) {
    if (std::abs(row.diameter - size) > 1e-6 * size) continue;
    Head head{shape, units::of(row.bearing, unit)};
    (hexagon ? head.width_across_flats : head.head_diameter) = units::of(row.width, unit);
    return head;
  }
  return NotFound{fmt::format("no standard {} head is known for a diameter of {:.4g} {}",
                              hexagon ? "hexagon" : "socket", size, inch ? "in" : "mm"),
                  "write the outer diameter of the face under the head, for example {bearing: 14.6 mm}"};
}

Length head_substitute_length(HeadShape shape, Length diameter) {
  require_positive(diameter, "diameter");
  return (shape == HeadShape::hexagon ? 0.5 : 0.4) * diameter;
}

}  // namespace clampbook::joint
