// Whole bolts through their stages against figures computed independently from the same method, to the digits
// given there: waist, several layers, nut and tapped, inch thread, a maker's own strength, stretch, torque
// past yield.
#include <clampbook/joint/nut_factor.h>
#include <clampbook/joint/tightening.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

namespace {

namespace units = clampbook::units;
using namespace joint_test;        // NOLINT(google-build-using-namespace): short names
using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test

constexpr double kDigits = 6e-6;  // six significant digits, rounded

struct Case {
  Thread thread;
  std::vector<ShankPiece> shank;
  double grip;
  std::vector<Layer> layers;
  double seat;
  double hole;
  Receiver receiver;
  double receiver_modulus;
  double thread_friction;
  double seat_friction;
  Strength strength;
};

class Bolt {
 public:
  explicit Bolt(const Case& c)
      : contact_{ThreadFriction(c.thread_friction), SeatFriction(c.seat_friction),
                 mean_seat_diameter(mm(c.seat), mm(c.hole))},
        geometry_(TighteningGeometry::from(
            BoltGeometry{c.thread, HeadShape::hexagon, c.shank, mm(c.grip)},
            ClampedParts{c.layers, mm(c.seat), mm(c.hole), c.receiver, gpa(c.receiver_modulus)})),
        model(geometry_, c.thread, contact_, c.strength),
        k_(nut_factor(c.thread, contact_)) {}

  void springs(double bolt, double parts) const {
    const auto n_per_mm = [](Resilience r) {
      return units::value_in(stiffness(r), units::newton_per_millimetre);
    };
    CHECK_THAT(n_per_mm(geometry_.springs().bolt), WithinRel(bolt, kDigits));
    CHECK_THAT(n_per_mm(geometry_.springs().parts), WithinRel(parts, kDigits));
  }
  void yields_at(double preload, double nut_factor) const {
    CHECK_THAT(units::value_in(*model.yield_preload(), units::newton), WithinRel(preload, kDigits));
    CHECK_THAT(k_, WithinAbs(nut_factor, 5e-6));
  }
  void stands_at(const TighteningState& s, double preload, double torque, double utilisation,
                 double growth) const {
    CHECK_FALSE(s.broken);
    CHECK_THAT(units::value_in(s.preload, units::newton), WithinRel(preload, kDigits));
    CHECK_THAT(units::value_in(model.torque_at(s), units::newton_metre), WithinRel(torque, kDigits));
    CHECK_THAT(*model.utilisation(s), WithinAbs(utilisation, 1e-6));
    CHECK_THAT(units::value_in(model.growth(s), units::millimetre), WithinAbs(growth, 1e-6));
  }
  void elastic_until(const TighteningState& s, double degrees) const {
    CHECK_THAT(units::value_in(*model.elastic_limit_angle(s), units::degree), WithinRel(degrees, kDigits));
  }

 private:
  Contact contact_;
  TighteningGeometry geometry_;

 public:
  TighteningModel model;

 private:
  double k_;
};

TEST_CASE("a waisted rod bolt yields in its waist", "[reference][joint]") {
  const Bolt b({Thread::metric(mm(9), mm(1)),
                {{mm(36), mm(7.4)}},
                45,
                {{mm(45), mm(18), gpa(205)}},
                13.5,
                9.3,
                Receiver::tapped,
                205,
                0.10,
                0.11,
                *find_strength("12.9", mm(9))});
  b.springs(165463, 796998);
  b.yields_at(43105.5, 0.14123);
  TighteningState s = b.model.torque({}, nm(15));
  b.stands_at(s, 11800.8, 15, 0.273765, 0);
  s = b.model.torque(s, nm(25));
  b.stands_at(s, 19667.9, 25, 0.456274, 0);
  b.elastic_until(s, 63.4113);
  b.stands_at(b.model.angle(s, deg(90)), 43229.9, 54.9497, 1, 0.0694142);
}

TEST_CASE("a head bolt through three layers takes two angles", "[reference][joint]") {
  const Bolt b({Thread::metric(mm(10), mm(1.5)),
                {{mm(75), mm(10)}},
                105,
                {{mm(3), mm(22), gpa(205)}, {mm(85), mm(30), gpa(71)}, {mm(17), mm(30), gpa(105)}},
                19,
                11,
                Receiver::tapped,
                105,
                0.13,
                0.13,
                *find_strength("10.9", mm(10))});
  b.springs(115823, 414193);
  b.yields_at(47591.8, 0.18985);
  TighteningState s = b.model.torque(b.model.torque({}, nm(15)), nm(35));
  b.stands_at(s, 18435.6, 35, 0.38737, 0);
  b.elastic_until(s, 80.4775);
  s = b.model.angle(s, deg(45));
  b.stands_at(s, 34738.7, 65.9513, 0.72993, 0);
  b.stands_at(b.model.angle(s, deg(45)), 47668.9, 90.4993, 1, 0.0358964);
}

TEST_CASE("an inch bolt with a nut stays elastic", "[reference][joint]") {
  const Bolt b({Thread::unified(units::of(0.375, units::inch), 24),
                {{mm(35), units::of(0.375, units::inch)}},
                60,
                {{mm(60), mm(32), gpa(71)}},
                14,
                10.5,
                Receiver::nut,
                205,
                0.13,
                0.13,
                *find_strength("SAE 8", units::of(0.375, units::inch))});
  b.springs(174999, 385487);
  b.yields_at(45211.8, 0.17142);
  const TighteningState s = b.model.torque({}, units::of(15, units::foot_pound));
  b.stands_at(s, 12455.6, 20.3373, 0.275494, 0);
  b.elastic_until(s, 94.8728);
  b.stands_at(b.model.angle(s, deg(60)), 33171.5, 54.1619, 0.73369, 0);
}

TEST_CASE("a cap bolt with figures of its own goes just past yield", "[reference][joint]") {
  const Bolt b({Thread::metric(mm(11), mm(1.25)),
                {{mm(30), mm(11)}},
                52,
                {{mm(52), mm(22), gpa(205)}},
                16,
                11.4,
                Receiver::tapped,
                205,
                0.11,
                0.12,
                custom_strength(units::of(1100, units::megapascal), units::of(1240, units::megapascal),
                                units::of(9, units::percent))});
  b.springs(255459, 1007530);
  b.yields_at(76099.1, 0.15202);
  const TighteningState s = b.model.torque({}, nm(30));
  b.stands_at(s, 17940.5, 30, 0.235752, 0);
  b.elastic_until(s, 84.3321);
  b.stands_at(b.model.angle(s, deg(90)), 76197.4, 127.417, 1, 0.0183192);
}

TEST_CASE("a rod bolt is set by its stretch", "[reference][joint]") {
  const Bolt b({Thread::metric(mm(8), mm(1)),
                {{mm(30), mm(7)}},
                40,
                {{mm(40), mm(18), gpa(205)}},
                12.5,
                8.4,
                Receiver::nut,
                205,
                0.10,
                0.10,
                *find_strength("12.9", mm(8))});
  b.springs(156329, 836123);
  b.yields_at(38814.4, 0.13862);
  const TighteningState s = b.model.torque({}, nm(12));
  b.stands_at(s, 10820.9, 12, 0.278785, 0);
  b.stands_at(b.model.stretch(s, mm(0.14)), 21886.1, 24.271, 0.563866, 0);
}

TEST_CASE("a cover bolt holds a torque past its yield", "[reference][joint]") {
  const Bolt b({Thread::metric(mm(6), mm(1)),
                {{mm(8), mm(6)}},
                25,
                {{mm(25), mm(18), gpa(71)}},
                8.88,
                6.6,
                Receiver::tapped,
                71,
                0.08,
                0.09,
                *find_strength("8.8", mm(6))});
  b.springs(119956, 388056);
  b.yields_at(11876.8, 0.12614);
  const TighteningState s = b.model.torque({}, nm(8));
  b.stands_at(s, 10570.4, 8, 0.890004, 0);
  b.stands_at(b.model.torque(s, nm(10)), 13213.0, 10, 1, 0.846606);
}

TEST_CASE("a head bolt seated and slackened comes back as new", "[reference][joint]") {
  const Bolt b({Thread::metric(mm(10), mm(1.25)),
                {{mm(50), mm(10)}},
                80,
                {{mm(80), mm(28), gpa(71)}},
                17,
                11,
                Receiver::tapped,
                105,
                0.14,
                0.12,
                *find_strength("8.8", mm(10))});
  b.springs(146010, 405402);
  b.yields_at(34200.0, 0.17882);
  TighteningState s = b.model.torque({}, nm(40));
  b.stands_at(s, 22368.3, 40, 0.654044, 0);
  s = b.model.torque(b.model.loosen(s), nm(20));
  b.stands_at(s, 11184.1, 20, 0.327022, 0);
  b.elastic_until(s, 63.7375);
  b.stands_at(b.model.angle(s, deg(40)), 25628.3, 45.8297, 0.749366, 0);
}

}  // namespace
