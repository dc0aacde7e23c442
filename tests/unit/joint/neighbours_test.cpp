#include <clampbook/joint/neighbours.h>

#include <clampbook/text/error.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace {

namespace units = clampbook::units;
using namespace joint_test;        // NOLINT(google-build-using-namespace): short names
using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test

const Resilience kSprings = units::of(8e-6, units::millimetre_per_newton);

Cover flange(double gasket_mm) {
  return {mm(18), gpa(205), 0.3, mm(18), gpa(205), mm(gasket_mm), gpa(0.6)};
}

std::vector<Place> circle(int n, double radius_mm) {
  std::vector<Place> out;
  for (int i = 0; i < n; ++i) {
    const double a = 2 * units::kPi * i / n;
    out.push_back({mm(radius_mm * std::cos(a)), mm(radius_mm * std::sin(a))});
  }
  return out;
}

TEST_CASE("minus kei meets tabulated values", "[joint][neighbours]") {
  // Computed to 25 digits with arbitrary precision.
  REQUIRE_THAT(minus_kei(0), WithinAbs(units::kPi / 4, 1e-15));
  REQUIRE_THAT(minus_kei(0.001), WithinAbs(0.78539615747573737764, 1e-13));
  REQUIRE_THAT(minus_kei(0.1), WithinAbs(0.77685064653666106887, 1e-13));
  REQUIRE_THAT(minus_kei(0.5), WithinAbs(0.67158169509436760323, 1e-13));
  REQUIRE_THAT(minus_kei(1), WithinAbs(0.49499463651871990035, 1e-13));
  REQUIRE_THAT(minus_kei(2), WithinAbs(0.20240006776470428829, 1e-13));
  REQUIRE_THAT(minus_kei(5), WithinAbs(-0.011187586509869639657, 1e-13));
  REQUIRE_THAT(minus_kei(10), WithinAbs(0.00030752456908814419902, 1e-13));
  REQUIRE_THAT(minus_kei(1e6), WithinAbs(0, 1e-13));
  REQUIRE_THROWS_AS(minus_kei(-1), DomainError);
  REQUIRE_THROWS_AS(minus_kei(std::numeric_limits<double>::quiet_NaN()), DomainError);
}

TEST_CASE("bolts far apart do not feel each other", "[joint][neighbours]") {
  NeighbourJoint joint({{mm(0), mm(0)}, {mm(5000), mm(0)}}, kSprings, flange(0));
  joint.tighten(0, kn(30));
  joint.tighten(1, kn(30));
  REQUIRE_THAT(in_kn(joint.preload(0)), WithinRel(30.0, 1e-9));
  REQUIRE_THAT(in_kn(joint.preload(1)), WithinRel(30.0, 1e-12));
}

TEST_CASE("two bolts share a dip as the two by two system says", "[joint][neighbours]") {
  // With u held, the first loses A12/(delta + A11) of what the second gains.
  const Cover cover = flange(3);
  const double length = units::value_in(influence_length(cover), units::metre);
  const double d = 205e9 * std::pow(0.018, 3) / (12 * (1 - 0.09));
  const double own = 8e-9 + length * length / (8 * d);
  const double other = length * length / (2 * units::kPi * d) * minus_kei(0.06 / length);
  NeighbourJoint joint({{mm(0), mm(0)}, {mm(60), mm(0)}}, kSprings, cover);
  joint.tighten(0, kn(30));
  joint.tighten(1, kn(30));
  REQUIRE_THAT(in_kn(joint.preload(0)), WithinRel(30 * (1 - other / own), 1e-9));
  REQUIRE(joint.preload(0) < kn(30));
}

TEST_CASE("a second round at full torque repairs what the first lost", "[joint][neighbours]") {
  const auto least_after = [](double gasket_mm, int rounds) {
    NeighbourJoint joint(circle(16, 150), kSprings, flange(gasket_mm));
    for (int round = 0; round < rounds; ++round) {
      for (const std::size_t i : {0U, 8U, 4U, 12U, 2U, 10U, 6U, 14U, 1U, 9U, 5U, 13U, 3U, 11U, 7U, 15U}) {
        joint.tighten(i, kn(40));
      }
    }
    const std::vector<Force> forces = joint.preloads();
    return in_kn(*std::min_element(forces.begin(), forces.end())) / 40;
  };
  REQUIRE(least_after(0, 1) > least_after(3, 1));
  REQUIRE(least_after(3, 1) < 0.97);
  REQUIRE(least_after(3, 2) > least_after(3, 1));
  REQUIRE_THAT(least_after(3, 12), WithinAbs(1, 1e-3));
}

TEST_CASE("a bolt above its target does not move and a crowded one goes loose without pushing",
          "[joint][neighbours]") {
  NeighbourJoint joint(circle(12, 30), kSprings, {mm(6), gpa(70), 0.33, mm(6), gpa(70), mm(5), gpa(0.05)});
  joint.tighten(0, kn(1));
  const double before = in_kn(joint.preload(0));
  joint.tighten(0, kn(0.5));
  REQUIRE(in_kn(joint.preload(0)) == before);
  for (std::size_t i = 1; i < 12; ++i) joint.tighten(i, kn(40));
  for (std::size_t i = 0; i < 12; ++i) REQUIRE(joint.preload(i) >= kn(0));
  REQUIRE(in_kn(joint.preload(0)) == 0);
  for (int round = 0; round < 80; ++round) {
    for (std::size_t i = 0; i < 12; ++i) joint.tighten(i, kn(40));
  }
  for (std::size_t i = 0; i < 12; ++i) REQUIRE_THAT(in_kn(joint.preload(i)), WithinRel(40.0, 0.02));
}

TEST_CASE("a joint that cannot be is refused", "[joint][neighbours]") {
  REQUIRE_THROWS_AS(NeighbourJoint({}, kSprings, flange(0)), DomainError);
  REQUIRE_THROWS_AS(NeighbourJoint({{mm(0), mm(0)}, {mm(0), mm(0)}}, kSprings, flange(0)), DomainError);
  Cover thin = flange(0);
  thin.thickness = mm(0);
  REQUIRE_THROWS_AS(NeighbourJoint(circle(4, 50), kSprings, thin), DomainError);
  NeighbourJoint joint(circle(4, 50), kSprings, flange(0));
  REQUIRE_THROWS_AS(joint.tighten(4, kn(1)), DomainError);
  REQUIRE_THROWS_AS(joint.tighten(0, kn(std::numeric_limits<double>::quiet_NaN())), DomainError);
  REQUIRE_THROWS_AS(joint.preload(4), DomainError);
}

}  // namespace
