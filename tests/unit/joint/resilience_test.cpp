#include <clampbook/joint/load.h>
#include <clampbook/joint/resilience.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <cmath>

namespace {

using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test
using namespace joint_test;        // NOLINT(google-build-using-namespace)

BoltGeometry bolt() {
  return {Thread::metric(mm(10), mm(1.5)), HeadShape::hexagon, {{mm(50), mm(10)}}, mm(80)};
}
ClampedParts parts(Receiver receiver) {
  return {{{mm(30), mm(28), gpa(71)}, {mm(50), mm(40), gpa(105)}}, mm(15), mm(11), receiver, gpa(105)};
}

TEST_CASE("a frustum equals the integral of its slices", "[joint][resilience]") {
  for (const double tangent : {0.0, 1e-9, 0.05, 0.5, 2.0}) {
    CAPTURE(tangent);
    constexpr int kSlices = 20000;
    double sum = 0;  // midpoint rule over 1/(E A), in mm/N
    for (int i = 0; i < kSlices; ++i) {
      const double x = (i + 0.5) * 40 / kSlices;
      const double d = 15 + 2 * x * tangent;
      sum += 40.0 / kSlices / (205e3 * units::kPi / 4 * (d * d - 121));
    }
    REQUIRE_THAT(in_mm_per_n(frustum_resilience(mm(40), mm(15), mm(11), tangent, gpa(205))),
                 WithinRel(sum, 1e-7));
  }
}

TEST_CASE("cutting a layer in two changes nothing", "[joint][resilience]") {
  for (const Receiver receiver : {Receiver::tapped, Receiver::nut}) {
    const double whole = in_mm_per_n(parts_resilience(parts(receiver), mm(80)));
    for (double cut = 0.5; cut < 50; cut += 3.7) {
      ClampedParts two = parts(receiver);
      two.layers[1].thickness = mm(50 - cut);
      two.layers.push_back({mm(cut), mm(40), gpa(105)});
      REQUIRE_THAT(in_mm_per_n(parts_resilience(two, mm(80))), WithinRel(whole, 1e-12));
    }
  }
}

TEST_CASE("two cones of one material are twice half of them", "[joint][resilience]") {
  const ClampedParts nut{{{mm(60), mm(200), gpa(205)}}, mm(15), mm(11), Receiver::nut, gpa(205)};
  const double tangent = cone_tangent(mm(15), mm(200), mm(60), Receiver::nut);
  REQUIRE_THAT(
      in_mm_per_n(parts_resilience(nut, mm(60))),
      WithinRel(2 * in_mm_per_n(frustum_resilience(mm(30), mm(15), mm(11), tangent, gpa(205))), 1e-13));
}

TEST_CASE("a part as narrow as the seat is a sleeve", "[joint][resilience]") {
  const ClampedParts sleeve{{{mm(60), mm(15), gpa(205)}}, mm(15), mm(11), Receiver::tapped, gpa(205)};
  const Area ring = kPi / 4 * (mm(15) * mm(15) - mm(11) * mm(11));
  REQUIRE_THAT(in_mm_per_n(parts_resilience(sleeve, mm(60))),
               WithinRel(in_mm_per_n(bar_resilience(mm(60), ring, gpa(205))), 1e-13));
}

TEST_CASE("the cone's angle solves its own equation", "[joint][resilience]") {
  for (const double grip : {5.0, 20.0, 60.0, 200.0}) {
    for (const double outer : {16.0, 30.0, 500.0}) {
      const double t = cone_tangent(mm(15), mm(outer), mm(grip), Receiver::tapped);
      const double y = std::min(outer / 15, 1 + 2 * grip / 15 * t);
      CHECK_THAT(t, WithinRel(0.348 + 0.013 * std::log(grip / 15) + 0.193 * std::log(y), 1e-12));
    }
  }
}

TEST_CASE("a softer part is softer in proportion when all is one material", "[joint][resilience]") {
  ClampedParts p = parts(Receiver::nut);
  for (Layer& layer : p.layers) layer.modulus = gpa(100);
  const double hard = in_mm_per_n(parts_resilience(p, mm(80)));
  for (Layer& layer : p.layers) layer.modulus = gpa(50);
  REQUIRE_THAT(in_mm_per_n(parts_resilience(p, mm(80))), WithinRel(2 * hard, 1e-13));
  REQUIRE_THAT(units::value_in(stiffness(mm_per_n(4e-6)), units::newton_per_millimetre),
               WithinRel(2.5e5, 1e-14));
}

TEST_CASE("a thinner waist and a longer grip make the bolt softer and twist it further",
          "[joint][resilience]") {
  const BoltGeometry plain = bolt();
  BoltGeometry waisted = bolt();
  waisted.shank[0].diameter = mm(8);
  BoltGeometry longer = bolt();
  longer.grip = mm(100);
  for (const BoltGeometry& softer : {waisted, longer}) {
    CHECK(bolt_resilience(softer, Receiver::nut, gpa(205)) > bolt_resilience(plain, Receiver::nut, gpa(205)));
    CHECK(bolt_twist(softer) > bolt_twist(plain));
  }
  CHECK(bolt_resilience(plain, Receiver::tapped, gpa(71)) >
        bolt_resilience(plain, Receiver::tapped, gpa(205)));
}

TEST_CASE("the springs share a load and a turn", "[joint][resilience]") {
  const double share = load_share(mm_per_n(6e-6), mm_per_n(2e-6));
  REQUIRE_THAT(share, WithinRel(0.25, 1e-14));
  REQUIRE(load_share(mm_per_n(6e-6), mm_per_n(0)) == 0);
  REQUIRE_THAT(in_kn(bolt_load(kn(30), share, kn(10))), WithinRel(32.5, 1e-14));
  REQUIRE_THAT(in_kn(residual_clamp(kn(30), share, kn(10))), WithinRel(22.5, 1e-14));
  REQUIRE_THAT(in_kn(bolt_load(kn(30), share, kn(50))), WithinRel(50.0, 1e-14));
  REQUIRE(in_kn(residual_clamp(kn(30), share, kn(50))) == 0);
  const Angle turn = elastic_angle(kn(20), mm(1.5), mm_per_n(6e-6), mm_per_n(2e-6));
  REQUIRE_THAT(in_kn(elastic_preload(turn, mm(1.5), mm_per_n(6e-6), mm_per_n(2e-6))), WithinRel(20.0, 1e-14));
  REQUIRE_THAT(in_mm(nut_travel(deg(90), mm(1.5))), WithinRel(0.375, 1e-14));
}

TEST_CASE("geometry that does not fit together is refused", "[joint][resilience]") {
  BoltGeometry too_long = bolt();
  too_long.shank[0].length = mm(81);
  CHECK_THROWS_AS(bolt_resilience(too_long, Receiver::nut, gpa(205)), DomainError);
  BoltGeometry exact = bolt();
  exact.shank[0].length = mm(80);
  CHECK(in_mm(free_thread(exact)) == 0);
  ClampedParts narrow = parts(Receiver::tapped);
  narrow.layers[0].outer = mm(11);
  CHECK_THROWS_AS(parts_resilience(narrow, mm(80)), DomainError);
  ClampedParts none = parts(Receiver::tapped);
  none.layers.clear();
  CHECK_THROWS_AS(parts_resilience(none, mm(80)), DomainError);
  CHECK_THROWS_AS(parts_resilience(parts(Receiver::tapped), mm(81)), DomainError);
  CHECK_THROWS_AS(frustum_resilience(mm(10), mm(11), mm(11), 0.5, gpa(205)), DomainError);
  for (const double bad : kNeverPositive) {
    CAPTURE(bad);
    BoltGeometry b = bolt();
    b.shank[0].diameter = mm(bad);
    CHECK_THROWS_AS(bolt_twist(b), DomainError);
    ClampedParts p = parts(Receiver::nut);
    p.layers[0].modulus = gpa(bad);
    CHECK_THROWS_AS(parts_resilience(p, mm(80)), DomainError);
    p = parts(Receiver::nut);
    p.layers[0].thickness = mm(bad);
    CHECK_THROWS_AS(parts_resilience(p, mm(80)), DomainError);
    CHECK_THROWS_AS(stiffness(mm_per_n(bad)), DomainError);
    CHECK_THROWS_AS(cone_tangent(mm(15), mm(bad), mm(60), Receiver::nut), DomainError);
    CHECK_THROWS_AS(load_share(mm_per_n(bad), mm_per_n(1e-6)), DomainError);
  }
}

}  // namespace
