#include <clampbook/joint/tightening.h>

#include <clampbook/joint/torque.h>
#include <clampbook/joint/yield.h>
#include <clampbook/text/error.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <cmath>
#include <limits>

namespace {

namespace units = clampbook::units;
using namespace joint_test;        // NOLINT(google-build-using-namespace): short names
using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test

// The worked case of docs/physics.md section 6: figures found independently, to the digits printed there.
struct Worked {
  Thread thread = Thread::metric(mm(8), mm(1.25));
  BoltGeometry bolt{thread, HeadShape::hexagon, {{mm(40), mm(8)}}, mm(62)};
  ClampedParts parts{{{mm(62), mm(26), gpa(71)}}, mm(13), mm(9), Receiver::tapped, gpa(71)};
  Contact contact{ThreadFriction(0.09), SeatFriction(0.10), mean_seat_diameter(mm(13), mm(9))};
  Strength strength = *find_strength("10.9", mm(8));
  TighteningGeometry geometry = TighteningGeometry::from(bolt, parts);
  TighteningModel model{geometry, thread, contact, strength};
};

// A waisted rod bolt with two flowing sections that yield one after the other.
struct Waisted {
  Thread thread = Thread::metric(mm(9), mm(1));
  BoltGeometry bolt{
      thread, HeadShape::hexagon, {{mm(20), mm(7.2)}, {mm(8), mm(9)}, {mm(8), mm(7.25)}}, mm(45)};
  ClampedParts parts{{{mm(45), mm(18), gpa(205)}}, mm(13.5), mm(9.3), Receiver::tapped, gpa(205)};
  Contact contact{ThreadFriction(0.10), SeatFriction(0.11), mean_seat_diameter(mm(13.5), mm(9.3))};
  Strength strength = *find_strength("12.9", mm(9));
  TighteningGeometry geometry = TighteningGeometry::from(bolt, parts);
  TighteningModel model{geometry, thread, contact, strength};
};

TEST_CASE("the worked case meets its figures stage by stage", "[joint][tightening]") {
  const Worked w;
  const auto lever_mm = [](LeverArm l) { return units::value_in(l, units::millimetre_per_radian); };
  CHECK_THAT(lever_mm(thread_lever(w.thread, w.contact.thread)), WithinAbs(0.57576, 5e-6));
  CHECK_THAT(lever_mm(lever(w.thread, w.contact)), WithinAbs(1.12576, 5e-6));
  const JointSprings& springs = w.geometry.springs();
  CHECK_THAT(units::value_in(springs.bolt, units::millimetre_per_newton), WithinAbs(8.872e-6, 5e-10));
  CHECK_THAT(units::value_in(springs.parts, units::millimetre_per_newton), WithinAbs(2.453e-6, 5e-10));
  // rad/(N mm) is a thousandth of rad/(N m).
  CHECK_THAT(units::value_in(springs.twist, units::radian_per_newton_metre) / 1000,
             WithinAbs(3.309e-6, 5e-10));
  CHECK_THAT(cone_tangent(mm(13), mm(26), mm(62), Receiver::tapped), WithinAbs(0.502, 5e-4));
  CHECK_THAT(units::value_in(w.model.elastic_angle(), units::degree_per_newton), WithinAbs(0.0033708, 5e-8));
  CHECK_THAT(newtons(*w.model.yield_preload()), WithinAbs(31519, 0.5));

  const TighteningState torqued = w.model.torque({}, nm(22));
  CHECK_THAT(newtons(torqued.preload), WithinAbs(19542, 0.5));
  CHECK_THAT(degrees(w.model.angle_at(torqued)), WithinAbs(65.87, 0.005));
  const Angle to_yield = *w.model.elastic_limit_angle(torqued);
  CHECK_THAT(degrees(to_yield), WithinAbs(40.37, 0.005));
  CHECK_THAT(degrees(w.model.angle_at(torqued) + to_yield), WithinAbs(106.24, 0.005));

  const TighteningState turned = w.model.angle(torqued, deg(75));
  CHECK_THAT(newtons(turned.preload), WithinAbs(31723, 0.5));
  CHECK_THAT(units::value_in(w.model.torque_at(turned), units::newton_metre), WithinAbs(35.71, 0.005));
  CHECK_THAT(in_mm(w.model.growth(turned)), WithinAbs(0.111, 5e-4));
  CHECK(*w.model.utilisation(turned) == 1);
  // S_thread, from two points past yield.
  const TighteningState further = w.model.angle(turned, deg(10));
  const double slope = 10 / (newtons(further.preload) - newtons(turned.preload));
  CHECK_THAT(slope - units::value_in(w.model.elastic_angle(), units::degree_per_newton),
             WithinAbs(0.1661, 5e-5));
}

TEST_CASE("angle is the inverse of the angle at a preload through every kink", "[joint][tightening]") {
  const Waisted w;
  TighteningState state{};
  double turned = 0;
  while (!state.broken && turned < 500) {
    const double step = 0.37 + std::fmod(turned * 7.3, 11.0);
    const TighteningState next = w.model.angle(state, deg(step));
    if (next.broken) break;
    turned += step;
    REQUIRE(next.preload > state.preload);
    REQUIRE_THAT(degrees(w.model.angle_at(next)), WithinRel(turned, 1e-12));
    // One long turn ends where many short ones do.
    REQUIRE_THAT(newtons(w.model.angle({}, deg(turned)).preload), WithinRel(newtons(next.preload), 1e-12));
    state = next;
  }
  REQUIRE(turned > 100);
  REQUIRE(w.model.growth(state) > mm(0.05));
}

TEST_CASE("stretch is the inverse of the stretch at a preload through yield", "[joint][tightening]") {
  const Waisted w;
  for (const double target : {0.01, 0.1, 0.2, 0.25, 0.4, 0.6}) {
    CAPTURE(target);
    const TighteningState state = w.model.stretch({}, mm(target));
    REQUIRE_FALSE(state.broken);
    REQUIRE_THAT(in_mm(w.model.stretch_at(state)), WithinRel(target, 1e-12));
  }
  const TighteningState there = w.model.stretch({}, mm(0.2));
  REQUIRE(newtons(w.model.stretch(there, mm(0.1)).preload) == newtons(there.preload));
}

TEST_CASE("the work of the wrench is elastic energy plus friction plus plastic work", "[joint][tightening]") {
  const Waisted w;
  const LeverArm c_g = thread_lever(w.thread, w.contact.thread);
  double work = 0;
  TighteningState state{};
  const Angle step = deg(0.01);
  while (w.model.angle_at(state) < deg(200)) {
    const TighteningState next = w.model.angle(state, step);
    REQUIRE_FALSE(next.broken);
    const Torque mean = 0.5 * (w.model.torque_at(state) + w.model.torque_at(next));
    work += units::value_in(Energy(mean * step), units::joule);
    state = next;
  }
  // Independently, section by section: stress times plastic strain over each section's volume, by its own
  // integral from F_y to F; elastic springs; sliding in the thread and on the seat through the angle that the
  // nut turned.
  const double f = newtons(state.preload);
  const JointSprings& s = w.geometry.springs();
  const double springs =
      (units::value_in(s.bolt, units::metre_per_newton) + units::value_in(s.parts, units::metre_per_newton));
  const double cg = units::value_in(c_g, units::metre_per_radian);
  const double k = units::value_in(w.model.lever(), units::metre_per_radian);
  const double psi = units::value_in(s.twist, units::radian_per_newton_metre);
  const double pitch = units::value_in(w.thread.pitch(), units::metre) / (2 * units::kPi);
  const double rp = units::value_in(w.strength.yield, units::pascal);
  const double hardening = (units::value_in(w.strength.tensile, units::pascal) - rp) / w.strength.elongation;
  double plastic = 0, growth_work = 0;
  int flowing = 0;
  for (std::size_t i = 0; i < w.geometry.section_count(); ++i) {
    const double d = units::value_in(w.geometry.section(i).diameter, units::metre);
    const double l = units::value_in(w.geometry.section(i).length, units::metre);
    const double a = units::kPi / 4 * d * d;
    const double q = std::sqrt(1 + 27 * cg * cg / (d * d));
    const double fy = a * rp / q;
    if (fy >= f) continue;
    plastic += q * q * l / (a * hardening) * (f * f - fy * fy) / 2;
    growth_work += l / (a * hardening) * (f * f - fy * fy) / 2;
    ++flowing;
  }
  REQUIRE(flowing >= 2);
  const double elastic = f * f / 2 * (springs + cg * cg * psi);
  // The nut advances by what springs and growth take up, with the thread's friction (c_G - P/2pi) on the way;
  // the seat slides under the head, which turns further by the bolt's twist, elastic and plastic.
  const double advance_work = f * f / 2 * springs + growth_work;
  const double thread_friction = (cg - pitch) / pitch * advance_work;
  const double plastic_twist_work = (plastic - growth_work) / cg;  // integral of F over the plastic twist
  const double seat_friction = (k - cg) * (advance_work / pitch + f * f / 2 * cg * psi + plastic_twist_work);
  REQUIRE_THAT(work, WithinRel(elastic + plastic + thread_friction + seat_friction, 1e-7));
}

TEST_CASE("a bolt that has flowed yields again at its former largest preload", "[joint][tightening]") {
  const Worked w;
  const TighteningState first = w.model.angle(w.model.torque({}, nm(22)), deg(75));
  const Length grown = w.model.growth(first);
  const TighteningState slack = w.model.loosen(first);
  CHECK(newtons(slack.preload) == 0);
  CHECK(in_mm(w.model.growth(slack)) == in_mm(grown));
  CHECK(degrees(w.model.angle_at(slack)) == 0);
  CHECK(in_mm(w.model.stretch_at(slack)) == 0);
  // Up to the old preload it is elastic: no growth, and the elastic line's angle.
  const TighteningState again = w.model.to_preload(slack, first.preload);
  CHECK(in_mm(w.model.growth(again)) == in_mm(grown));
  CHECK_THAT(
      degrees(w.model.angle_at(again)),
      WithinRel(newtons(first.preload) * units::value_in(w.model.elastic_angle(), units::degree_per_newton),
                1e-12));
  CHECK_THAT(degrees(*w.model.elastic_limit_angle(slack)),
             WithinRel(degrees(w.model.angle_at(again)), 1e-12));
  // Past it the line goes on where it stopped.
  const TighteningState interrupted = w.model.angle(again, deg(12));
  const TighteningState straight = w.model.angle(first, deg(12));
  CHECK_THAT(newtons(interrupted.preload), WithinRel(newtons(straight.preload), 1e-13));
}

TEST_CASE("loosening by an angle and turning on again comes back", "[joint][tightening]") {
  const Worked w;
  for (const double start : {50.0, 141.0}) {
    const TighteningState tight = w.model.angle({}, deg(start));
    const TighteningState eased = w.model.loosen(tight, deg(20));
    CHECK(eased.preload < tight.preload);
    CHECK_THAT(newtons(w.model.angle(eased, deg(20)).preload), WithinRel(newtons(tight.preload), 1e-13));
  }
  const TighteningState slack = w.model.loosen(w.model.angle({}, deg(50)), deg(51));
  CHECK(newtons(slack.preload) == 0);
}

TEST_CASE("torque never lowers a preload and past yield the bolt holds torque over lever",
          "[joint][tightening]") {
  const Worked w;
  const TighteningState high = w.model.torque({}, nm(20));
  CHECK(newtons(w.model.torque(high, nm(10)).preload) == newtons(high.preload));
  const Force beyond = 1.02 * *w.model.yield_preload();
  const TighteningState past = w.model.torque({}, beyond * w.model.lever());
  CHECK_THAT(newtons(past.preload), WithinRel(newtons(beyond), 1e-14));
  CHECK(w.model.growth(past) > mm(0));
  CHECK(w.model.growth_share(past) > 0);
  CHECK(w.model.growth_share(past) < 1);
}

TEST_CASE("past the breaking load there is no preload", "[joint][tightening]") {
  const Worked w;
  const Force breaking = *w.model.breaking_preload();
  const TighteningState almost = w.model.to_preload({}, breaking);
  CHECK_FALSE(almost.broken);
  CHECK_THAT(w.model.growth_share(almost), WithinRel(1.0, 1e-12));
  const TighteningState gone = w.model.torque({}, 1.001 * breaking * w.model.lever());
  CHECK(gone.broken);
  CHECK(newtons(gone.preload) == 0);
  CHECK(w.model.angle(gone, deg(10)).broken);
  CHECK(w.model.loosen(gone).broken);
  CHECK(w.model.angle({}, deg(5000)).broken);
}

TEST_CASE("yield control stops where the first long section flows", "[joint][tightening]") {
  const Worked w;
  const std::optional<TighteningState> stop = w.model.yield_controlled({}, 0.5);
  REQUIRE(stop);
  CHECK(newtons(stop->preload) == newtons(*w.model.yield_preload()));
  CHECK_FALSE(w.model.yield_controlled({}, 1e-6));
}

TEST_CASE("a nut factor alone gives preload and an elastic angle and says nothing of yield",
          "[joint][tightening]") {
  const Worked w;
  const TighteningModel model(w.geometry, units::of(1.44, units::millimetre_per_radian));
  const TighteningState state = model.angle(model.torque({}, nm(10)), deg(30));
  const JointSprings& s = w.geometry.springs();
  const double springs = units::value_in(s.bolt + s.parts, units::millimetre_per_newton);
  CHECK_THAT(newtons(state.preload), WithinRel(10 / 1.44e-3 + 1.25 * 30 / 360 / springs, 1e-12));
  CHECK_FALSE(model.yield_preload());
  CHECK_FALSE(model.utilisation(state));
  CHECK_FALSE(model.elastic_limit_angle(state));
  CHECK_FALSE(model.yield_controlled(state, 0.5));
  CHECK(in_mm(model.growth(state)) == 0);
}

TEST_CASE("scaling all lengths scales forces by the square and leaves angles alone", "[joint][tightening]") {
  const auto model_at = [](double s) {
    const Thread thread = Thread::metric(mm(8 * s), mm(1.25 * s));
    const BoltGeometry bolt{thread, HeadShape::hexagon, {{mm(40 * s), mm(8 * s)}}, mm(62 * s)};
    const ClampedParts parts{
        {{mm(62 * s), mm(26 * s), gpa(71)}}, mm(13 * s), mm(9 * s), Receiver::tapped, gpa(71)};
    const Contact contact{ThreadFriction(0.09), SeatFriction(0.10), mm(11 * s)};
    return TighteningModel(TighteningGeometry::from(bolt, parts), thread, contact,
                           *find_strength("10.9", mm(8)));
  };
  const TighteningModel one = model_at(1);
  const TighteningModel three = model_at(3);
  const TighteningState a = one.angle(one.torque({}, nm(22)), deg(75));
  const TighteningState b = three.angle(three.torque({}, nm(22 * 27)), deg(75));
  CHECK_THAT(newtons(b.preload), WithinRel(9 * newtons(a.preload), 1e-12));
  CHECK_THAT(in_mm(three.growth(b)), WithinRel(3 * in_mm(one.growth(a)), 1e-9));
  CHECK_THAT(*three.utilisation(b), WithinRel(*one.utilisation(a), 1e-12));
}

TEST_CASE("rigid parts and a bolt that does not twist leave the bolt's own stretch", "[joint][tightening]") {
  const Worked w;
  const JointSprings rigid{w.geometry.springs().bolt, units::of(0, units::metre_per_newton),
                           units::of(0, units::radian_per_newton_metre)};
  const TighteningModel model(TighteningGeometry::from(w.bolt, rigid), w.thread, w.contact, w.strength);
  const TighteningState state = model.angle({}, deg(36));
  CHECK_THAT(in_mm(model.stretch_at(state)), WithinRel(0.125, 1e-13));
}

TEST_CASE("an offset of plastic strain turns the head by its stretch and its twist", "[joint][tightening]") {
  const Worked w;
  const double d = in_mm(w.thread.stress_diameter());
  const double r =
      3 * units::value_in(thread_lever(w.thread, w.contact.thread), units::millimetre_per_radian) / d;
  const double strain = 0.002 / std::sqrt(1 + 3 * r * r);
  const double expected = strain * 22 * 360 / 1.25 + 180 / units::kPi * 9 * r * 22 * strain / d;
  REQUIRE_THAT(degrees(*w.model.offset_angle(0.002)), WithinRel(expected, 1e-12));
  REQUIRE(degrees(*w.model.offset_angle(0)) == 0);
  REQUIRE_THROWS_AS(w.model.offset_angle(-1), DomainError);
}

TEST_CASE("half of the torsion springs back by psi c_G F over two", "[joint][tightening]") {
  const Worked w;
  const TighteningState tight = w.model.to_preload({}, *w.model.yield_preload());
  const double back = degrees(w.model.spring_back(tight));
  CHECK(back > 0.8);
  CHECK(back < 2.5);
  CHECK_THAT(degrees(w.model.spring_back(tight, 1)), WithinRel(2 * back, 1e-14));
}

TEST_CASE("stages refuse values that mean nothing", "[joint][tightening]") {
  const Worked w;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double inf = std::numeric_limits<double>::infinity();
  for (const double bad : {nan, inf, -inf, -1.0}) {
    CAPTURE(bad);
    CHECK_THROWS_AS(w.model.torque({}, nm(bad)), DomainError);
    CHECK_THROWS_AS(w.model.angle({}, deg(bad)), DomainError);
    CHECK_THROWS_AS(w.model.stretch({}, mm(bad)), DomainError);
    CHECK_THROWS_AS(w.model.loosen({}, deg(bad)), DomainError);
    CHECK_THROWS_AS(w.model.to_preload({}, units::of(bad, units::newton)), DomainError);
    CHECK_THROWS_AS(w.model.yield_controlled({}, bad), DomainError);
    CHECK_THROWS_AS(w.geometry.softened(bad), DomainError);
    CHECK_THROWS_AS(TighteningModel(w.geometry, units::of(bad, units::metre_per_radian)), DomainError);
  }
  Strength flat = w.strength;
  flat.tensile = flat.yield;
  CHECK_THROWS_AS(TighteningModel(w.geometry, w.thread, w.contact, flat), DomainError);
  const LeverArm thread = thread_lever(w.thread, w.contact.thread);
  CHECK_THROWS_AS(TighteningModel(w.geometry, thread, 0.99 * thread, w.strength), DomainError);
  BoltGeometry many = w.bolt;
  many.shank.clear();
  for (int i = 0; i < 12; ++i) many.shank.push_back({mm(1), mm(6 + 0.1 * i)});
  CHECK_THROWS_AS(TighteningGeometry::from(many, w.geometry.springs()), DomainError);
}

}  // namespace
