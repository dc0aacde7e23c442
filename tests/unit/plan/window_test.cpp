#include <clampbook/plan/window.h>

#include "tests/support/catch.h"

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using plan::Side;
using units::Measured;

namespace {

Measured newton_metres(double number) {
  return {number, units::newton_metre_unit()};
}

plan::Step torque_step(std::optional<Measured> prevailing = {}) {
  plan::Step step;
  step.kind = plan::StageKind::torque;
  step.low = newton_metres(28.8);
  step.high = newton_metres(31.2);
  step.prevailing = prevailing;
  return step;
}

}  // namespace

TEST_CASE("both ends belong to a window and a hair beside them does not", "[plan][window]") {
  const plan::Step step = torque_step();
  CHECK(plan::side(step, newton_metres(28.8)) == Side::inside);
  CHECK(plan::side(step, newton_metres(31.2)) == Side::inside);
  CHECK(plan::side(step, newton_metres(28.8 * (1 - 1e-7))) == Side::below);
  CHECK(plan::side(step, newton_metres(31.2 * (1 + 1e-7))) == Side::above);
}

TEST_CASE("the ends of a window are in it whatever unit they are read in", "[plan][window]") {
  const plan::Step step = torque_step();
  for (const units::Unit* unit :
       {&units::foot_pound_unit(), &units::inch_pound_unit(), &units::kilogram_metre_unit()}) {
    INFO(unit->spelling);
    CHECK(plan::side(step, step.low->converted_to(*unit)) == Side::inside);
    CHECK(plan::side(step, step.high->converted_to(*unit)) == Side::inside);
  }
}

TEST_CASE("what turns a lock nut is taken off a torque before it is judged", "[plan][window]") {
  const plan::Step step = torque_step(newton_metres(5));
  CHECK(plan::side(step, newton_metres(30)) == Side::below);
  CHECK(plan::side(step, newton_metres(35)) == Side::inside);
  CHECK(plan::side(step, newton_metres(37)) == Side::above);
}

TEST_CASE("a missing end bounds nothing and another dimension is not judged", "[plan][window]") {
  const Measured two(2, units::millimetre_unit());
  CHECK(plan::side(two, {}, Measured(1, units::millimetre_unit())) == Side::above);
  CHECK(plan::side(two, Measured(3, units::millimetre_unit()), {}) == Side::below);
  CHECK(plan::side(two, {}, {}) == Side::inside);
  CHECK(plan::side(torque_step(), two) == Side::inside);
  CHECK(plan::side(plan::Step(), newton_metres(30)) == Side::inside);
}

TEST_CASE("a window below nought has its lower end below", "[plan][window]") {
  const Measured low(-2, units::millimetre_unit()), high(-1, units::millimetre_unit());
  CHECK(plan::side(low, low, high) == Side::inside);
  CHECK(plan::side(high, low, high) == Side::inside);
  CHECK(plan::side(Measured(-2.001, units::millimetre_unit()), low, high) == Side::below);
  CHECK(plan::side(Measured(-0.999, units::millimetre_unit()), low, high) == Side::above);
}
