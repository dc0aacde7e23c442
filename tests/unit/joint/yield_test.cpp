#include <clampbook/joint/strength.h>
#include <clampbook/joint/yield.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <cmath>

namespace {

using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test
using namespace joint_test;        // NOLINT(google-build-using-namespace)

TEST_CASE("at its assembly preload a bolt stands at that share of its yield strength", "[joint][yield]") {
  const Thread t = Thread::metric(mm(12), mm(1.75));
  for (const double mu : {0.04, 0.12, 0.35, 1.0}) {
    for (const double utilisation : {0.5, 0.9, 1.0}) {
      const Force f = assembly_preload(t, mpa(940), ThreadFriction(mu), utilisation);
      const Stress s = equivalent_stress(f, thread_lever(t, ThreadFriction(mu)), t.stress_diameter());
      REQUIRE_THAT(in_mpa(s), WithinRel(utilisation * 940, 1e-13));
    }
  }
}

TEST_CASE("without torsion yield is stress times area", "[joint][yield]") {
  REQUIRE_THAT(in_kn(preload_at_stress(mpa(640), lever_mm(0), mm(10))),
               WithinRel(0.64 * units::kPi * 25, 1e-14));
}

TEST_CASE("the elastic modulus counts a third more shear than the plastic one", "[joint][yield]") {
  const double plastic = torsion_ratio(lever_mm(0.6), mm(7));
  REQUIRE_THAT(torsion_ratio(lever_mm(0.6), mm(7), TorsionModulus::elastic),
               WithinRel(plastic * 4 / 3, 1e-14));
  const double drop = preload_at_stress(mpa(900), lever_mm(0.6), mm(7), TorsionModulus::elastic) /
                      preload_at_stress(mpa(900), lever_mm(0.6), mm(7));
  REQUIRE(drop > 0.86);
  REQUIRE(drop < 0.96);
}

TEST_CASE("shear and tensile stress come from the torsion moduli", "[joint][yield]") {
  // tau = T/W_p, W_p = pi D^3/12; sigma = F/A.
  const double d = 7.1, lever = 0.65, force = 20;
  const double tau = 1000 * force * lever / (units::kPi * d * d * d / 12);
  const double sigma = 1000 * force / (units::kPi / 4 * d * d);
  REQUIRE_THAT(in_mpa(equivalent_stress(kn(force), lever_mm(lever), mm(d))),
               WithinRel(std::sqrt(sigma * sigma + 3 * tau * tau), 1e-13));
}

TEST_CASE("in service the stress falls to the pull alone as the torsion goes", "[joint][yield]") {
  const double pull = 20000 / (units::kPi / 4 * 49);
  REQUIRE_THAT(in_mpa(service_stress(kn(20), kn(18), lever_mm(0.6), mm(7), 0)), WithinRel(pull, 1e-13));
  REQUIRE(service_stress(kn(20), kn(18), lever_mm(0.6), mm(7)) > mpa(pull));
  REQUIRE(service_stress(kn(20), kn(18), lever_mm(0.6), mm(7), 1) >
          service_stress(kn(20), kn(18), lever_mm(0.6), mm(7)));
}

TEST_CASE("yield refuses arguments that mean nothing", "[joint][yield]") {
  const Thread t = Thread::metric(mm(12), mm(1.75));
  for (const double bad : kNeverPositive) {
    CAPTURE(bad);
    REQUIRE_THROWS_AS(preload_at_stress(mpa(bad), lever_mm(0.6), mm(7)), DomainError);
    REQUIRE_THROWS_AS(preload_at_stress(mpa(900), lever_mm(0.6), mm(bad)), DomainError);
    REQUIRE_THROWS_AS(assembly_preload(t, mpa(900), ThreadFriction(0.1), bad), DomainError);
  }
  for (const double bad : kNeverAllowed) {
    CAPTURE(bad);
    REQUIRE_THROWS_AS(equivalent_stress(kn(bad), lever_mm(0.6), mm(7)), DomainError);
    REQUIRE_THROWS_AS(torsion_ratio(units::of(bad, units::metre_per_radian), mm(7)), DomainError);
    REQUIRE_THROWS_AS(service_stress(kn(bad), kn(1), lever_mm(0.6), mm(7)), DomainError);
    REQUIRE_THROWS_AS(service_stress(kn(1), kn(1), lever_mm(0.6), mm(7), bad), DomainError);
  }
}

TEST_CASE("classes change strength where their standard says", "[joint][strength]") {
  REQUIRE_THAT(in_mpa(find_strength("8.8", mm(16))->yield), WithinRel(640.0, 1e-14));
  REQUIRE_THAT(in_mpa(find_strength("8.8", mm(18))->yield), WithinRel(660.0, 1e-14));
  const auto ksi = [](Stress s) { return units::value_in(s, units::kilopound_per_square_inch); };
  REQUIRE_THAT(ksi(find_strength("SAE 2", in(0.75))->tensile), WithinRel(74.0, 1e-14));
  REQUIRE_THAT(ksi(find_strength("SAE 2", mm(22.225))->tensile), WithinRel(60.0, 1e-14));
  REQUIRE_THAT(ksi(find_strength("SAE J429 grade 5", in(1))->proof.value_or(mpa(0))), WithinRel(85.0, 1e-14));
  REQUIRE_THAT(ksi(find_strength("SAE grade 5", in(1.125))->yield), WithinRel(81.0, 1e-14));
  REQUIRE(find_strength("SAE J429 8", in(0.5))->name == "SAE 8");
}

TEST_CASE("a class that a diameter does not have fails with the range it has", "[joint][strength]") {
  const Found<Strength> big = find_strength("9.8", mm(20));
  REQUIRE_FALSE(big);
  REQUIRE(big.failure().message == "class 9.8 does not cover a diameter of 20 mm");
  REQUIRE(big.failure().help == "1.6 to 16 mm; else write yield, tensile and elongation");
  REQUIRE_FALSE(find_strength("10.9", mm(42)));
  REQUIRE_FALSE(find_strength("SAE 8", in(0.19)));
  const Found<Strength> wrong = find_strength("10.8", mm(10));
  REQUIRE_FALSE(wrong);
  REQUIRE(wrong.failure().help.find("10.9") != std::string::npos);
  REQUIRE_FALSE(find_strength("", mm(10)));
  REQUIRE_FALSE(find_strength("SAE", mm(10)));
  REQUIRE_THROWS_AS(find_strength("8.8", mm(kNan)), DomainError);
}

TEST_CASE("loads are stress area times stress", "[joint][strength]") {
  const Thread t = Thread::metric(mm(10), mm(1.5));
  const Strength s = *find_strength("10.9", mm(10));
  REQUIRE_THAT(in_kn(yield_load(t, s)) / in_kn(breaking_load(t, s)), WithinRel(940.0 / 1040, 1e-14));
  REQUIRE_THAT(in_kn(*proof_load(t, s)) / in_kn(yield_load(t, s)), WithinRel(830.0 / 940, 1e-14));
  const Strength lot = scaled(s, 1.05);
  REQUIRE_THAT(in_kn(yield_load(t, lot)), WithinRel(1.05 * in_kn(yield_load(t, s)), 1e-14));
  const Strength own = custom_strength(mpa(1100), mpa(1250), units::of(9, units::percent), true);
  REQUIRE(own.measured);
  REQUIRE_FALSE(proof_load(t, own));
  for (const double bad : kNeverPositive) {
    REQUIRE_THROWS_AS(custom_strength(mpa(bad), mpa(1250), 0.09), DomainError);
    REQUIRE_THROWS_AS(custom_strength(mpa(1100), mpa(bad), 0.09), DomainError);
    REQUIRE_THROWS_AS(custom_strength(mpa(1100), mpa(1250), bad), DomainError);
    REQUIRE_THROWS_AS(scaled(s, bad), DomainError);
  }
  REQUIRE_THROWS_AS(custom_strength(mpa(1100), mpa(1100), 0.09), DomainError);
}

}  // namespace
