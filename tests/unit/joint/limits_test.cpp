#include <clampbook/joint/seat.h>
#include <clampbook/joint/settling.h>
#include <clampbook/joint/stripping.h>
#include <clampbook/joint/thermal.h>
#include <clampbook/joint/wrench.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <cmath>

namespace {

using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test
using namespace joint_test;        // NOLINT(google-build-using-namespace)

units::ThermalExpansion per_kelvin(double x) {
  return units::of(x, units::per_kelvin);
}
units::TemperatureChange kelvin(double x) {
  return units::of(x, units::kelvin);
}

TEST_CASE("seat pressure is force over the ring and the strongest bolt pulls 1.4 of its table value",
          "[joint][seat]") {
  REQUIRE_THAT(in_mpa(seat_pressure(kn(30), mm(15), mm(11))),
               WithinRel(30000 / (units::kPi / 4 * 104), 1e-13));
  const SeatCheck check = check_seat(kn(30), mm(15), mm(11), mpa(220));
  REQUIRE_THAT(in_mpa(check.pressure), WithinRel(1.4 * 30000 / (units::kPi / 4 * 104), 1e-13));
  REQUIRE_THAT(check.safety, WithinRel(220 / in_mpa(check.pressure), 1e-13));
  REQUIRE(in_mm(seat_under_washer(mm(15), mm(20), mm(0))) == 15);
  REQUIRE(in_mm(seat_under_washer(mm(15), mm(20), mm(30))) == 20);
  REQUIRE(seat_under_washer(mm(15), mm(20), mm(2)) > mm(15));
  REQUIRE_THROWS_AS(seat_pressure(kn(30), mm(11), mm(11)), DomainError);
  for (const double bad : kNeverPositive) {
    REQUIRE_THROWS_AS(seat_pressure(kn(30), mm(bad), mm(11)), DomainError);
    REQUIRE_THROWS_AS(check_seat(kn(bad), mm(15), mm(11), mpa(220)), DomainError);
    REQUIRE_THROWS_AS(check_seat(kn(30), mm(15), mm(11), mpa(bad)), DomainError);
    REQUIRE_THROWS_AS(seat_under_washer(mm(bad), mm(20), mm(2)), DomainError);
  }
}

TEST_CASE("shear areas grow with engagement and the mate's is the larger", "[joint][stripping]") {
  const Thread t = Thread::metric(mm(10), mm(1.5));
  const ShearAreas one = shear_areas(t, mm(10));
  const ShearAreas two = shear_areas(t, mm(20));
  const auto mm2 = [](Area a) { return units::value_in(a, units::square_millimetre); };
  REQUIRE_THAT(mm2(two.internal), WithinRel(2 * mm2(one.internal), 1e-14));
  REQUIRE(one.internal > one.external);
  // A cylinder over the whole engagement is the upper bound; at basic size the mate keeps 7/8 of it.
  REQUIRE_THAT(mm2(one.internal), WithinRel(0.875 * units::kPi * 10 * 10, 1e-12));
}

TEST_CASE("at the needed engagement the bolt breaks as the thread strips", "[joint][stripping]") {
  const Thread t = Thread::metric(mm(10), mm(1.5));
  for (const double tensile : {180.0, 400.0, 1000.0, 2000.0}) {
    const InternalThread mate{mpa(tensile), 0.6};
    const Stripping first = check_stripping(t, mpa(1040), mate, mm(20));
    REQUIRE_THAT(check_stripping(t, mpa(1040), mate, first.needed).safety, WithinRel(1.0, 1e-12));
    REQUIRE((first.safety > 1) == (first.needed < mm(20)));
  }
  const InternalThread soft{mpa(180), 0.6};
  const InternalThread hard{mpa(400), 0.9};
  REQUIRE(check_stripping(t, mpa(1040), soft, mm(20)).needed >
          check_stripping(t, mpa(1040), hard, mm(20)).needed);
  REQUIRE(check_stripping(t, mpa(800), soft, mm(20)).safety >
          check_stripping(t, mpa(1040), soft, mm(20)).safety);
  REQUIRE(check_stripping(t, mpa(1040), soft, mm(2)).safety == 0);  // two pitches do not count
  for (const double bad : kNeverPositive) {
    REQUIRE_THROWS_AS(check_stripping(t, mpa(bad), soft, mm(20)), DomainError);
    REQUIRE_THROWS_AS(check_stripping(t, mpa(1040), {mpa(bad), 0.6}, mm(20)), DomainError);
    REQUIRE_THROWS_AS(check_stripping(t, mpa(1040), {mpa(180), bad}, mm(20)), DomainError);
    REQUIRE_THROWS_AS(check_stripping(t, mpa(1040), soft, mm(bad)), DomainError);
  }
}

TEST_CASE("the strength ratio's polynomials meet where threads are equally strong", "[joint][stripping]") {
  const Thread t = Thread::metric(mm(10), mm(1.5));
  const auto safety = [&](double tensile) {
    return check_stripping(t, mpa(1000), {mpa(tensile), 0.6}, mm(20)).safety;
  };
  double last = 0;
  for (double tensile = 100; tensile < 3000; tensile *= 1.01) {
    const double now = safety(tensile);
    // No jump, and a stronger mate never strips earlier by more than the polynomials' own ripple.
    if (last > 0) {
      CHECK(now > last * 0.999);
      CHECK(now < last * 1.03);
    }
    last = now;
  }
}

TEST_CASE("rougher faces and more of them settle more", "[joint][settling]") {
  const auto um = [](Length l) { return units::value_in(l, units::micrometre); };
  REQUIRE_THAT(um(embedding(Roughness::smooth, Receiver::tapped, 1)), WithinRel(7.0, 1e-12));
  REQUIRE_THAT(um(embedding(Roughness::medium, Receiver::nut, 1)), WithinRel(11.0, 1e-12));
  REQUIRE_THAT(um(embedding(Roughness::rough, Receiver::nut, 2)), WithinRel(17.0, 1e-12));
  REQUIRE_THAT(in_kn(settling_loss(units::of(8, units::micrometre), mm_per_n(4e-6), mm_per_n(1e-6))),
               WithinRel(1.6, 1e-12));
  REQUIRE(in_kn(settled_preload(kn(1), units::of(8, units::micrometre), mm_per_n(4e-6), mm_per_n(1e-6))) ==
          0);
  ClampedParts parts{
      {{mm(3), mm(20), gpa(205)}, {mm(60), mm(30), gpa(71)}}, mm(15), mm(11), Receiver::tapped, gpa(71)};
  REQUIRE(inner_faces(parts) == 2);
  parts.receiver = Receiver::nut;
  REQUIRE(inner_faces(parts) == 1);
  REQUIRE_THROWS_AS(embedding(Roughness::smooth, Receiver::nut, -1), DomainError);
  for (const double bad : kNeverAllowed) {
    REQUIRE_THROWS_AS(settling_loss(mm(bad), mm_per_n(4e-6), mm_per_n(1e-6)), DomainError);
    REQUIRE_THROWS_AS(settled_preload(kn(bad), mm(0), mm_per_n(4e-6), mm_per_n(1e-6)), DomainError);
  }
}

TEST_CASE("alike parts at alike temperature keep their preload", "[joint][thermal]") {
  const HeatedLength bolt{mm(60), per_kelvin(11.5e-6), kelvin(80)};
  const auto gain = [&](const std::vector<HeatedLength>& parts) {
    return in_kn(thermal_gain(bolt, parts, mm_per_n(6e-6), mm_per_n(2e-6)));
  };
  REQUIRE_THAT(gain({{mm(20), per_kelvin(11.5e-6), kelvin(80)}, {mm(40), per_kelvin(11.5e-6), kelvin(80)}}),
               WithinAbs(0, 1e-9));
  REQUIRE(gain({{mm(60), per_kelvin(23e-6), kelvin(80)}}) > 0);
  REQUIRE(gain({{mm(60), per_kelvin(23e-6), kelvin(0)}}) < 0);
  for (const double bad : {kNan, kInf, -kInf}) {
    REQUIRE_THROWS_AS(gain({{mm(60), per_kelvin(23e-6), kelvin(bad)}}), DomainError);
    REQUIRE_THROWS_AS(gain({{mm(60), per_kelvin(bad), kelvin(80)}}), DomainError);
    REQUIRE_THROWS_AS(gain({{mm(bad), per_kelvin(23e-6), kelvin(80)}}), DomainError);
  }
}

TEST_CASE("a wrench with an adapter delivers what its setting was made for", "[joint][wrench]") {
  for (double angle = 0; angle <= 180; angle += 15) {
    const Adapter adapter{mm(50), deg(angle)};
    const Torque setting = wrench_setting(nm(80), mm(400), adapter);
    REQUIRE_THAT(in_nm(delivered_torque(setting, mm(400), adapter)), WithinRel(80.0, 1e-14));
    REQUIRE((angle < 90 ? in_nm(setting) < 80 : in_nm(setting) >= 80 - 1e-9));
  }
  REQUIRE_THAT(in_nm(wrench_setting(nm(80), mm(400), {mm(0), deg(37)})), WithinRel(80.0, 1e-15));
  REQUIRE_THROWS_AS(wrench_setting(nm(80), mm(50), {mm(50), deg(180)}), DomainError);
  REQUIRE_THROWS_AS(wrench_setting(nm(80), mm(50), {mm(60), deg(180)}), DomainError);
  for (const double bad : kNeverAllowed) {
    REQUIRE_THROWS_AS(wrench_setting(nm(bad), mm(400), {mm(50), deg(0)}), DomainError);
    REQUIRE_THROWS_AS(wrench_setting(nm(80), mm(bad), {mm(50), deg(0)}), DomainError);
    REQUIRE_THROWS_AS(wrench_setting(nm(80), mm(400), {mm(bad), deg(0)}), DomainError);
    REQUIRE_THROWS_AS(acceptance_band(nm(bad), 0.04), DomainError);
    REQUIRE_THROWS_AS(acceptance_band(nm(80), bad), DomainError);
    REQUIRE_THROWS_AS(deviation(nm(1), nm(bad)), DomainError);
  }
  REQUIRE_THROWS_AS(wrench_setting(nm(80), mm(400), {mm(50), deg(kNan)}), DomainError);
  REQUIRE(permissible_deviation(nm(10)) == 0.06);
  REQUIRE(permissible_deviation(nm(10.1)) == 0.04);
}

}  // namespace
