// Orders held to layouts whose order was worked out independently (tests/reference/orders.json) and to the
// legacy cross pattern of ASME PCC-1:2013, table 4 (read from reference rows, numbering around the circle).
#include "tests/support/catch.h"

#include <clampbook/plan/order.h>
#include <clampbook/text/json.h>
#include <clampbook/text/read_file.h>

#include <cmath>
#include <string>

using namespace clampbook;
using plan::Point;
using schedule::OrderKind;

namespace {

Point millimetres(double x, double y) {
  return {units::of(x, units::millimetre), units::of(y, units::millimetre)};
}

std::vector<Point> circle(int n, double radius = 80) {
  std::vector<Point> out;
  for (int i = 0; i < n; ++i)
    out.push_back(
        millimetres(radius * std::cos(2 * units::kPi * i / n), radius * std::sin(2 * units::kPi * i / n)));
  return out;
}

std::vector<Point> rows(int columns, double dx, double dy) {
  std::vector<Point> out;
  for (int row = 0; row < 2; ++row)
    for (int column = 0; column < columns; ++column) out.push_back(millimetres(column * dx, -row * dy));
  return out;
}

std::string numbered(const std::vector<std::size_t>& order) {
  std::string out;
  for (const std::size_t i : order) out += (out.empty() ? "" : " ") + std::to_string(i + 1);
  return out;
}

}  // namespace

TEST_CASE("layouts take the order that the rule gives", "[plan][order][reference]") {
  const auto file = text::read_file(std::string(CLAMPBOOK_SOURCE_DIR) + "/tests/reference/orders.json",
                                    std::size_t{1} << 20);
  const auto json = text::parse_json(file->text());
  REQUIRE(json);
  int layouts = 0;
  for (const auto& [name, layout] : *json->find("layouts")->as_object()) {
    INFO(name);
    std::vector<Point> points;
    for (const auto& bolt : *layout.find("bolts")->as_array())
      points.push_back(millimetres(*(*bolt.as_array())[0].as_number(), *(*bolt.as_array())[1].as_number()));
    std::vector<std::size_t> expected;
    for (const auto& i : *layout.find("order")->as_array())
      expected.push_back(static_cast<std::size_t>(*i.as_integer()));
    const bool star = *layout.find("asked")->as_string() == "star";
    REQUIRE(plan::order_points(star ? OrderKind::star : OrderKind::centre_out, points) == expected);
    ++layouts;
  }
  REQUIRE(layouts == 13);
}

TEST_CASE("the star on a circle is the legacy cross pattern", "[plan][order][reference]") {
  // ASME PCC-1:2013/2019, legacy pattern, bolts numbered around the flange.
  REQUIRE(numbered(plan::order_points(OrderKind::star, circle(4))) == "1 3 2 4");
  REQUIRE(numbered(plan::order_points(OrderKind::star, circle(12))) == "1 7 4 10 2 8 5 11 3 9 6 12");
  REQUIRE(numbered(plan::order_points(OrderKind::star, circle(16))) ==
          "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16");
  REQUIRE(numbered(plan::order_points(OrderKind::star, circle(20))) ==
          "1 11 6 16 3 13 8 18 5 15 10 20 2 12 7 17 4 14 9 19");
  REQUIRE(numbered(plan::order_points(OrderKind::star, circle(24))) ==
          "1 13 7 19 4 16 10 22 2 14 8 20 5 17 11 23 3 15 9 21 6 18 12 24");
}

TEST_CASE("rows of bolts are taken from the middle outwards", "[plan][order]") {
  REQUIRE(numbered(plan::order_points(OrderKind::centre_out, rows(5, 80, 110))) == "3 8 2 9 7 4 6 5 1 10");
  REQUIRE(numbered(plan::order_points(OrderKind::centre_out, rows(7, 80, 110))) ==
          "4 11 3 12 10 5 9 6 2 13 1 14 8 7");
}

TEST_CASE("circle goes anticlockwise from the first in the list", "[plan][order]") {
  REQUIRE(numbered(plan::order_points(OrderKind::circle, circle(6))) == "1 2 3 4 5 6");
  std::vector<Point> shuffled = circle(6);
  std::swap(shuffled[1], shuffled[5]);
  std::swap(shuffled[2], shuffled[4]);  // now listed clockwise
  REQUIRE(numbered(plan::order_points(OrderKind::circle, shuffled)) == "1 6 5 4 3 2");
}

TEST_CASE("an order does not depend on where the joint lies or in which unit", "[plan][order]") {
  for (const auto kind : {OrderKind::centre_out, OrderKind::star, OrderKind::circle}) {
    std::vector<Point> here = rows(5, 81.3, 110.7), there;
    for (const Point& p : here)
      there.push_back({p.x * 25.4 + units::of(1234.5, units::millimetre),
                       p.y * 25.4 - units::of(987.6, units::millimetre)});
    REQUIRE(plan::order_points(kind, here) == plan::order_points(kind, there));
  }
}

TEST_CASE("layouts without extent are ordered all the same", "[plan][order]") {
  for (const auto kind : {OrderKind::centre_out, OrderKind::star, OrderKind::circle, OrderKind::listed}) {
    REQUIRE(plan::order_points(kind, {}).empty());
    REQUIRE(plan::order_points(kind, {millimetres(3, 4)}).size() == 1);
    REQUIRE(plan::order_points(kind, {millimetres(3, 4), millimetres(3, 4), millimetres(3, 4)}).size() == 3);
    REQUIRE(plan::order_points(kind, {millimetres(0, 0), millimetres(1, 0), millimetres(2, 0)}).size() == 3);
  }
}

TEST_CASE("a ring with a gap is no circle", "[plan][order]") {
  std::vector<Point> ring = circle(8);
  REQUIRE(plan::is_circle(ring));
  ring.erase(ring.begin() + 2);
  REQUIRE_FALSE(plan::is_circle(ring));
}
