#include <clampbook/joint/nut_factor.h>
#include <clampbook/joint/torque.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <cmath>

namespace {

using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test
using namespace joint_test;        // NOLINT(google-build-using-namespace)

const Thread kM10 = Thread::metric(mm(10), mm(1.5));

Contact contact(double thread, double seat) {
  return {ThreadFriction(thread), SeatFriction(seat), mm(12.815)};
}

TEST_CASE("torque and preload are inverses over all frictions", "[joint][torque]") {
  for (double mu = 0.01; mu <= 1; mu += 0.033) {
    for (const double force : {1e-3, 1.0, 30.0, 1e4}) {
      const Contact c = contact(mu, 1.01 - mu);
      REQUIRE_THAT(in_kn(preload(tightening_torque(kn(force), kM10, c), kM10, c)), WithinRel(force, 1e-14));
    }
  }
  REQUIRE(in_nm(tightening_torque(kn(0), kM10, contact(0.1, 0.1))) == 0);
}

TEST_CASE("without friction the torque is the lead term alone", "[joint][torque]") {
  const Contact none{ThreadFriction::none(), SeatFriction::none(), mm(12.815)};
  REQUIRE_THAT(in_nm(tightening_torque(kn(30), kM10, none)), WithinRel(30 * 1.5 / (2 * units::kPi), 1e-14));
  const TorqueSplit split = torque_split(kM10, none);
  REQUIRE_THAT(split.pitch, WithinRel(1.0, 1e-14));
  REQUIRE_THAT(split.thread, WithinAbs(0, 1e-15));
  REQUIRE(split.seat == 0);
}

TEST_CASE("the addition theorem equals the tangent of the sum of angles", "[joint][torque]") {
  for (double mu = 0.02; mu < 1; mu += 0.07) {
    const double t = std::tan(std::atan(kM10.lead_tangent()) + std::atan(mu / std::cos(units::kPi / 6)));
    REQUIRE_THAT(in_mm(thread_lever(kM10, ThreadFriction(mu))),
                 WithinRel(in_mm(kM10.pitch_diameter()) / 2 * t, 1e-14));
  }
}

TEST_CASE("more friction means more torque and less preload", "[joint][torque]") {
  double last = 0;
  for (double mu = 0.02; mu <= 1; mu += 0.02) {
    const double k = in_mm(lever(kM10, contact(mu, 0.12)));
    REQUIRE(k > last);
    last = k;
  }
}

TEST_CASE("the shares of torque add up to one", "[joint][torque]") {
  const TorqueSplit split = torque_split(kM10, contact(0.12, 0.14));
  REQUIRE_THAT(split.pitch + split.thread + split.seat, WithinRel(1.0, 1e-15));
  REQUIRE(split.seat > split.thread);
  REQUIRE(split.thread > split.pitch);
}

TEST_CASE("tightening less loosening torque is nearly free of friction", "[joint][torque]") {
  for (const double mu : {0.08, 0.14, 0.25}) {
    const Contact c = contact(mu, 0.12);
    const double difference =
        in_nm(tightening_torque(kn(30), kM10, c)) - in_nm(loosening_torque(kn(30), kM10, c));
    const double m = mu * kFlankFactor;
    REQUIRE_THAT(difference, WithinRel(30 * 1.5 / units::kPi * (1 + m * m), 2e-3));
  }
  const Contact slippery{ThreadFriction(0.01), SeatFriction::none(), mm(12.8)};
  REQUIRE(in_nm(loosening_torque(kn(30), kM10, slippery)) < 0);
}

TEST_CASE("one friction found from a lever gives that lever back", "[joint][torque]") {
  for (double mu = 0.001; mu <= 1; mu *= 1.4) {
    const LeverArm k = lever(kM10, {ThreadFriction(mu), SeatFriction(mu), mm(12.815)});
    REQUIRE_THAT(friction_from_lever(k, kM10, mm(12.815)), WithinRel(mu, 1e-12));
  }
  const LeverArm lead = lever_mm(1.5 / (2 * units::kPi));
  REQUIRE_THAT(friction_from_lever(1.0000000001 * lead, kM10, mm(12.8)), WithinAbs(0, 1e-9));
  REQUIRE_THROWS_AS(friction_from_lever(0.99 * lead, kM10, mm(12.8)), DomainError);
  REQUIRE_THROWS_AS(friction_from_lever(lever_mm(50), kM10, mm(12.8)), DomainError);
}

TEST_CASE("a nut factor works both ways", "[joint][torque]") {
  const Torque torque = tightening_torque(kn(25), 0.18, mm(10));
  REQUIRE_THAT(in_nm(torque), WithinRel(45.0, 1e-14));
  REQUIRE_THAT(in_kn(preload(torque, 0.18, mm(10))), WithinRel(25.0, 1e-14));
  REQUIRE_THAT(nut_factor_from_test(torque, kn(25), mm(10)), WithinRel(0.18, 1e-14));
  REQUIRE_THAT(nut_factor(kM10, contact(0.12, 0.12)) * 10,
               WithinRel(in_mm(lever(kM10, contact(0.12, 0.12))), 1e-14));
}

TEST_CASE("the torque for the same preload goes back with the lubricants swapped", "[joint][torque]") {
  const Contact oil = contact(0.12, 0.12);
  const Contact paste = contact(0.08, 0.09);
  const Torque paste_torque = same_preload_torque(nm(50), kM10, oil, paste);
  REQUIRE(paste_torque < nm(40));
  REQUIRE_THAT(in_nm(same_preload_torque(paste_torque, kM10, paste, oil)), WithinRel(50.0, 1e-14));
  REQUIRE_THAT(in_nm(setting_torque(nm(50), nm(3))), WithinRel(53.0, 1e-15));
}

TEST_CASE("scaling all lengths scales torque with them at equal force", "[joint][torque]") {
  const Thread big = Thread::metric(mm(30), mm(4.5));
  const Contact wide{ThreadFriction(0.12), SeatFriction(0.14), mm(3 * 12.815)};
  REQUIRE_THAT(in_nm(tightening_torque(kn(30), big, wide)),
               WithinRel(3 * in_nm(tightening_torque(kn(30), kM10, contact(0.12, 0.14))), 1e-14));
}

TEST_CASE("a friction test gives back the frictions that made its torque", "[joint][torque]") {
  // Torque by the test standard's own linear form.
  const double force = 30, d2 = in_mm(kM10.pitch_diameter()), lead = 1.5 / (2 * units::kPi);
  const Torque thread = nm(force * (lead + 0.577 * 0.11 * d2));
  const Torque seat = nm(force * 0.13 * 12.815 / 2);
  REQUIRE_THAT(thread_friction_from_test(thread, kn(force), kM10), WithinRel(0.11, 1e-13));
  REQUIRE_THAT(seat_friction_from_test(seat, kn(force), mm(12.815)), WithinRel(0.13, 1e-13));
  const double total = total_friction_from_test(thread + seat, kn(force), kM10, mm(12.815));
  REQUIRE(total > 0.11);
  REQUIRE(total < 0.13);
  REQUIRE_THROWS_AS(thread_friction_from_test(nm(1), kn(30), kM10), DomainError);  // less than the lead alone
}

TEST_CASE("torque refuses arguments that mean nothing", "[joint][torque]") {
  const Contact c = contact(0.12, 0.12);
  for (const double bad : kNeverAllowed) {
    CAPTURE(bad);
    REQUIRE_THROWS_AS(ThreadFriction(bad), DomainError);
    REQUIRE_THROWS_AS(SeatFriction(bad), DomainError);
    REQUIRE_THROWS_AS(tightening_torque(kn(bad), kM10, c), DomainError);
    REQUIRE_THROWS_AS(loosening_torque(kn(bad), kM10, c), DomainError);
    REQUIRE_THROWS_AS(preload(nm(bad), kM10, c), DomainError);
    REQUIRE_THROWS_AS(setting_torque(nm(bad), nm(0)), DomainError);
    REQUIRE_THROWS_AS(setting_torque(nm(1), nm(bad)), DomainError);
    REQUIRE_THROWS_AS(preload(nm(bad), 0.2, mm(10)), DomainError);
  }
  for (const double bad : kNeverPositive) {
    CAPTURE(bad);
    REQUIRE_THROWS_AS(lever(kM10, {ThreadFriction(0.1), SeatFriction(0.1), mm(bad)}), DomainError);
    REQUIRE_THROWS_AS(mean_seat_diameter(mm(bad), mm(5)), DomainError);
    REQUIRE_THROWS_AS(lever_from_nut_factor(bad, mm(10)), DomainError);
    REQUIRE_THROWS_AS(lever_from_nut_factor(0.2, mm(bad)), DomainError);
    REQUIRE_THROWS_AS(nut_factor_from_test(nm(bad), kn(1), mm(10)), DomainError);
    REQUIRE_THROWS_AS(seat_friction_from_test(nm(1), kn(bad), mm(10)), DomainError);
  }
  REQUIRE_THROWS_AS(ThreadFriction(0), DomainError);
  REQUIRE_THROWS_AS(SeatFriction(1.001), DomainError);
  REQUIRE_THROWS_AS(mean_seat_diameter(mm(9), mm(9)), DomainError);
  try {
    static_cast<void>(SeatFriction(1.5));
    FAIL("a friction of 1.5 was let in");
  } catch (const DomainError& e) {
    REQUIRE(std::string(e.what()) == "seat friction is 1.5; allowed: above 0 and at most 1");
  }
}

}  // namespace
