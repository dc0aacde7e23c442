#include <clampbook/joint/tightening.h>
#include <clampbook/plan/trace_joint.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/read_file.h>

#include "tests/support/catch.h"

#include <cmath>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)

plan::BoltModel case_bolt() {
  const schedule::Schedule schedule = schedule::read_schedule(
      text::read_file(CLAMPBOOK_SOURCE_DIR "/schedules/split-crankcase.yaml", schedule::kLargestFile));
  return plan::bolt_model(schedule, schedule.fasteners.front());
}

joint::TighteningModel model_of(const plan::BoltModel& bolt, double friction) {
  return {joint::TighteningGeometry::from(*bolt.geometry, *bolt.parts),
          bolt.thread.thread,
          {joint::ThreadFriction(friction), joint::SeatFriction(friction), *bolt.mean_seat_diameter()},
          *bolt.strength};
}

// The model's own pull, through yield, behind 270° of run-down at `drag` N·m.
trace::Curve pull_of(const joint::TighteningModel& model, double drag, double degrees) {
  trace::CurveBuilder builder;
  for (double a = 0; a <= 270; a += 0.5) builder.add({a, drag});
  for (double a = 0.2; a <= degrees; a += 0.2) {
    const auto state = model.angle({}, units::of(a, units::degree));
    builder.add({270 + a, drag + units::value_in(model.torque_at(state), units::newton_metre)});
  }
  return builder.finish();
}

TEST_CASE("a pull made by the model gives back its clamp load and friction", "[plan][trace]") {
  const plan::BoltModel bolt = case_bolt();
  for (const double friction : {0.09, 0.12, 0.18}) {
    for (const double drag : {0.3, 6.0}) {
      CAPTURE(friction, drag);
      const joint::TighteningModel model = model_of(bolt, friction);
      const double yields = units::value_in(*model.elastic_limit_angle({}), units::degree);
      for (const double end : {0.7 * yields, yields + 60}) {
        const trace::Curve curve = pull_of(model, drag, end);
        const trace::TraceReading reading = trace::read_curve(curve);
        const plan::TraceJoint joint = plan::read_joint(curve, reading, bolt, "case-bolt");
        REQUIRE(joint.preload);
        const auto preload = model.angle({}, units::of(end, units::degree)).preload;
        // The slope of a curve without noise, and what the bins of half a degree round off.
        REQUIRE_THAT(units::si_number(joint.preload->nominal), WithinRel(units::si_number(preload), 0.01));
        REQUIRE_THAT(*joint.friction, WithinRel(friction, 0.02));
        REQUIRE(joint.preload->p5 < joint.preload->nominal);
        REQUIRE(joint.preload->nominal < joint.preload->p95);
        REQUIRE(joint.yield_02.has_value() == (end > yields));
        if (!joint.yield_02) continue;
        // The model's knee is sharp: 0.2 % plastic strain is reached where growth has come so far.
        const auto at = joint.yield_02->angle - units::of(270, units::degree);
        const double found = units::value_in(at, units::degree);
        const double expected = yields + units::value_in(*model.offset_angle(), units::degree);
        REQUIRE_THAT(found, WithinAbs(expected, 1.5));
      }
    }
  }
}

TEST_CASE("an interval covers five to ninety-five per cent of its scatter", "[plan][trace]") {
  const plan::BoltModel bolt = case_bolt();
  const trace::Curve curve = pull_of(model_of(bolt, 0.12), 0.3, 60);
  const plan::TraceJoint joint = plan::read_joint(curve, trace::read_curve(curve), bolt, "case-bolt");
  REQUIRE(joint.preload);
  // 1.645 standard deviations of the logarithm to either side.
  const double high = units::si_number(joint.preload->p95) / units::si_number(joint.preload->nominal);
  const double low = units::si_number(joint.preload->p5) / units::si_number(joint.preload->nominal);
  REQUIRE_THAT(std::log(high), WithinRel(1.6449 * plan::kTracePreloadVariation, 1e-4));
  REQUIRE_THAT(high * low, WithinRel(1.0, 1e-12));
}

TEST_CASE("what is missing or does not fit is said and not guessed", "[plan][trace]") {
  plan::BoltModel bolt = case_bolt();
  const joint::TighteningModel model = model_of(bolt, 0.12);
  const trace::Curve curve = pull_of(model, 0.3, 60);
  trace::TraceReading reading = trace::read_curve(curve);

  trace::TraceReading steep = reading;
  *steep.slope *= 20.0;
  const plan::TraceJoint other = plan::read_joint(curve, steep, bolt, "case-bolt");
  REQUIRE_FALSE(other.preload);
  REQUIRE(other.notes.size() == 1);
  REQUIRE(other.notes[0].find("was it this fastener?") != std::string::npos);
  *steep.slope = *reading.slope * 0.01;
  REQUIRE_FALSE(plan::read_joint(curve, steep, bolt, "case-bolt").preload);

  for (const trace::Verdict fault : {trace::Verdict::retightened, trace::Verdict::stripped,
                                     trace::Verdict::bottomed, trace::Verdict::cross_threaded}) {
    trace::TraceReading faulty = reading;
    faulty.verdict = fault;
    const plan::TraceJoint joint = plan::read_joint(curve, faulty, bolt, "case-bolt");
    REQUIRE_FALSE(joint.preload);
    REQUIRE_FALSE(joint.yield_02);
    REQUIRE(joint.notes.size() == 1);
  }

  bolt.geometry.reset();
  bolt.missing = {"grip"};
  const plan::TraceJoint without = plan::read_joint(curve, reading, bolt, "case-bolt");
  REQUIRE_FALSE(without.preload);
  REQUIRE(without.notes ==
          std::vector<std::string>{"no clamp load and no 0.2 % point: 'case-bolt' does not say grip"});
}

}  // namespace
