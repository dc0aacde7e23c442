#include "tests/support/catch.h"
#include "tests/support/pulls.h"

#include <clampbook/trace/read_trace.h>
#include <clampbook/trace/reading.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <sstream>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using trace::Curve;
using trace::CurveBuilder;
using trace::TraceReading;
using trace::Verdict;

double degrees(units::Angle a) {
  return units::value_in(a, units::degree);
}
double newton_metres(units::Torque t) {
  return units::value_in(t, units::newton_metre);
}

Curve curve_of(const std::vector<trace::Sample>& samples) {
  CurveBuilder builder;
  for (const trace::Sample& s : samples) builder.add(s);
  return builder.finish();
}

// A pull without noise: 300° of run-down at 0.3 N·m, a straight rise of 0.5 N·m per degree for 100°, then
// flat at an eighth of that slope for 50°.
double ideal(double a) {
  if (a < 300) return 0.3;
  if (a < 400) return 0.3 + 0.5 * (a - 300);
  return 50.3 + 0.0625 * (a - 400);
}

std::vector<trace::Sample> ideal_pull(double end = 450, double step = 0.2) {
  std::vector<trace::Sample> out;
  for (double a = 0; a <= end; a += step) out.push_back({a, ideal(a)});
  return out;
}

TEST_CASE("an ideal pull gives back what it was made of", "[trace][reading]") {
  const TraceReading r = trace::read_curve(curve_of(ideal_pull()));
  REQUIRE(r.verdict == Verdict::sound);
  REQUIRE_THAT(units::value_in(*r.slope, units::newton_metre_per_degree), WithinRel(0.5, 1e-3));
  REQUIRE_THAT(degrees(*r.elastic_origin), WithinAbs(300, 0.1));
  REQUIRE_THAT(newton_metres(*r.prevailing), WithinAbs(0.3, 1e-9));
  // A bin is half a degree wide, and a window at the bend shows it by up to 1.5° of the line.
  REQUIRE_THAT(degrees(r.snug->angle), WithinAbs(300, 1.5));
  REQUIRE_THAT(degrees(r.yield->angle), WithinAbs(400, 2));
  REQUIRE_THAT(newton_metres(r.yield->torque), WithinRel(50.3, 0.02));
  REQUIRE_THAT(newton_metres(r.peak), WithinRel(53.4, 0.005));
  REQUIRE_THAT(degrees(r.end), WithinAbs(450, 0.2));
  REQUIRE(r.notes.empty());
}

TEST_CASE("a line beside the elastic one is crossed where geometry says", "[trace][reading]") {
  const Curve curve = curve_of(ideal_pull());
  const TraceReading r = trace::read_curve(curve);
  // 0.5 (a - 300 - offset) = 50 + 0.0625 (a - 400)
  const double offset = 12;
  const double expected = (0.5 * (300 + offset) + 50 - 0.0625 * 400) / (0.5 - 0.0625);
  const auto place = trace::offset_yield(curve, r, units::of(offset, units::degree));
  REQUIRE(place);
  REQUIRE_THAT(degrees(place->angle), WithinAbs(expected, 0.3));
  REQUIRE_THAT(newton_metres(place->torque), WithinRel(ideal(expected), 0.003));
  REQUIRE_FALSE(trace::offset_yield(curve, r, units::of(200, units::degree)));
}

TEST_CASE("torque and angle scale through", "[trace][reading]") {
  std::vector<trace::Sample> samples = ideal_pull();
  const TraceReading plain = trace::read_curve(curve_of(samples));
  for (trace::Sample& s : samples) s = {s.degrees + 1000, s.newton_metres * 4};
  const TraceReading scaled = trace::read_curve(curve_of(samples));
  REQUIRE_THAT(units::si_number(*scaled.slope), WithinRel(4 * units::si_number(*plain.slope), 1e-9));
  REQUIRE_THAT(degrees(scaled.yield->angle), WithinAbs(degrees(plain.yield->angle) + 1000, 1e-6));
  REQUIRE_THAT(newton_metres(scaled.snug->torque), WithinRel(4 * newton_metres(plain.snug->torque), 1e-6));
}

TEST_CASE("a pull that ends on its rise did not yield", "[trace][reading]") {
  const TraceReading r = trace::read_curve(curve_of(ideal_pull(380)));
  REQUIRE(r.verdict == Verdict::not_yielded);
  REQUIRE_FALSE(r.yield);
}

TEST_CASE("strokes that begin a scale of their own are joined", "[trace][curve]") {
  const TraceReading whole = trace::read_curve(curve_of(ideal_pull()));
  for (const double stroke : {25.0, 40.0, 61.0}) {
    CAPTURE(stroke);
    std::vector<trace::Sample> samples;
    double begun = 0;
    for (double a = 0; a <= 450; a += 0.2) {
      if (a - begun > stroke) {
        begun = a;
        // The bolt holds; the wrench takes its torque up again within two degrees of its own scale.
        for (double taken = 0; taken < 1; taken += 0.1) samples.push_back({0, ideal(a) * taken});
      }
      samples.push_back({a - begun, ideal(a)});
    }
    const Curve curve = curve_of(samples);
    REQUIRE(curve.restarts == static_cast<std::size_t>(450 / (stroke + 0.2)));
    const TraceReading joined = trace::read_curve(curve);
    REQUIRE(joined.verdict == Verdict::sound);
    // Each join loses up to a step of 0.2°; the knee is found to half a degree.
    const double loss = 0.2 * static_cast<double>(curve.restarts) + 0.5;
    REQUIRE_THAT(degrees(joined.yield->angle), WithinAbs(degrees(whole.yield->angle), loss));
    REQUIRE_THAT(units::si_number(*joined.slope), WithinRel(units::si_number(*whole.slope), 0.02));
    REQUIRE_FALSE(joined.notes.empty());
  }
}

TEST_CASE("pauses wind-back and leaps leave no trace", "[trace][curve]") {
  std::vector<trace::Sample> samples;
  int i = 0;
  for (const trace::Sample& s : ideal_pull()) {
    samples.push_back(s);
    ++i;
    if (i % 400 == 0) {
      for (double back = 0; back < 2; back += 0.2)
        samples.push_back({s.degrees - back, s.newton_metres * (1 - back / 2)});
      for (int k = 0; k < 500; ++k) samples.push_back({s.degrees - 2, 0});
      for (double back = 2; back > 0; back -= 0.2)
        samples.push_back({s.degrees - back, s.newton_metres * (1 - back / 2)});
    }
    if (i % 300 == 0) samples.push_back({s.degrees + 5000, s.newton_metres});
    if (i % 350 == 0) samples.push_back({0, s.newton_metres});
  }
  const Curve curve = curve_of(samples);
  REQUIRE(curve.restarts == 0);
  REQUIRE(curve.leaps == static_cast<std::size_t>(i / 300));
  const TraceReading r = trace::read_curve(curve);
  const TraceReading plain = trace::read_curve(curve_of(ideal_pull()));
  REQUIRE(r.verdict == Verdict::sound);
  REQUIRE_THAT(degrees(r.yield->angle), WithinAbs(degrees(plain.yield->angle), 0.5));
  REQUIRE_THAT(units::si_number(*r.slope), WithinRel(units::si_number(*plain.slope), 0.005));
}

TEST_CASE("a bolt turned back and on again keeps its scale", "[trace][curve]") {
  std::vector<trace::Sample> samples = ideal_pull(360);
  for (double a = 360; a > 300; a -= 0.5) samples.push_back({a, -10});
  for (double a = 300; a < 450; a += 0.2) samples.push_back({a, ideal(a)});
  const Curve curve = curve_of(samples);
  const TraceReading r = trace::read_curve(curve);
  REQUIRE(r.verdict == Verdict::sound);
  REQUIRE_THAT(degrees(r.yield->angle), WithinAbs(400, 2));
}

TEST_CASE("a bolt that is loosened first is read from where it is turned on", "[trace][curve]") {
  // Breaks away at 40 N·m, is screwed out by 500°, and then tightened; the file's scale begins at the head's
  // old place.
  std::vector<trace::Sample> samples;
  for (double a = 0; a > -500; a -= 0.5)
    samples.push_back({a, a > -2 ? 20 * a : std::min(-40 - 0.5 * (a + 2), -0.2)});
  for (const trace::Sample& s : ideal_pull()) samples.push_back({s.degrees - 500, s.newton_metres});
  for (const double sign : {1.0, -1.0}) {
    std::vector<trace::Sample> written = samples;
    for (trace::Sample& s : written) s.degrees *= sign;
    const Curve curve = curve_of(written);
    REQUIRE(curve.angle_flipped == (sign < 0));
    REQUIRE(curve.restarts == 0);
    const TraceReading r = trace::read_curve(curve);
    REQUIRE(r.verdict == Verdict::sound);
    REQUIRE(r.prevailing);
    REQUIRE_THAT(degrees(r.yield->angle), WithinAbs(400 - 500, 2));
    REQUIRE_THAT(units::value_in(*r.slope, units::newton_metre_per_degree), WithinRel(0.5, 0.005));
  }
}

TEST_CASE("a bolt that is loosened afterwards keeps its pull", "[trace][curve]") {
  std::vector<trace::Sample> samples = ideal_pull();
  for (double a = 450; a > 100; a -= 0.5) samples.push_back({a, a > 380 ? -35 : -0.2});
  const TraceReading r = trace::read_curve(curve_of(samples));
  REQUIRE(r.verdict == Verdict::sound);
  REQUIRE_THAT(degrees(r.yield->angle), WithinAbs(400, 2));
  REQUIRE_THAT(degrees(r.end), WithinAbs(450, 0.2));
}

TEST_CASE("hardly anything gives a verdict and no figure", "[trace][reading]") {
  const auto flat = [](double torque) {
    std::vector<trace::Sample> out;
    for (int i = 0; i < 1000; ++i) out.push_back({0.5 * i, torque});
    return out;
  };
  for (const auto& samples : {std::vector<trace::Sample>{},
                              {{0, 0}},
                              {{10, 20}},
                              {{0, 1}, {0, 1}, {0, 1}},
                              {{0, 1}, {1, 2}, {2, 3}},
                              flat(0),
                              flat(-3),
                              flat(12)}) {
    const Curve curve = curve_of(samples);
    const TraceReading r = trace::read_curve(curve);
    CAPTURE(samples.size());
    REQUIRE((r.verdict == Verdict::too_short || r.verdict == Verdict::retightened));
    REQUIRE_FALSE(r.slope);
    REQUIRE_FALSE(r.yield);
    REQUIRE_FALSE(r.notes.empty());
    REQUIRE_FALSE(trace::offset_yield(curve, r, units::of(12, units::degree)));
  }
}

TEST_CASE("columns that changed places are suspected", "[trace][reading]") {
  const pulls::Pull pull = pulls::make(pulls::Kind::yielding, pulls::kGood, 3);
  CurveBuilder builder;
  for (const pulls::Reading& r : pull.readings) builder.add({r.newton_metres, r.degrees});
  const TraceReading swapped = trace::read_curve(builder.finish());
  REQUIRE(std::any_of(swapped.notes.begin(), swapped.notes.end(),
                      [](const std::string& note) { return note.find("swapped") != std::string::npos; }));
  CurveBuilder straight;
  for (const pulls::Reading& r : pull.readings) straight.add({r.degrees, r.newton_metres});
  REQUIRE_FALSE(straight.finish().looks_swapped);
}

TEST_CASE("a log that starts above a threshold keeps what it shows", "[trace][reading]") {
  std::vector<trace::Sample> samples;
  for (double a = 310; a < 450; a += 0.2) samples.push_back({a, ideal(a)});
  const TraceReading r = trace::read_curve(curve_of(samples));
  REQUIRE(r.verdict == Verdict::sound);
  REQUIRE_FALSE(r.prevailing);
  REQUIRE_FALSE(r.snug);
  REQUIRE_THAT(units::value_in(*r.slope, units::newton_metre_per_degree), WithinRel(0.5, 0.005));
  REQUIRE_THAT(degrees(r.yield->angle), WithinAbs(400, 2));
}

TEST_CASE("verdicts have the words of machine output", "[trace][reading]") {
  REQUIRE(trace::name(Verdict::too_short) == "too_short");
  REQUIRE(trace::name(Verdict::not_yielded) == "not_yielded");
  for (const Verdict v : {Verdict::too_short, Verdict::stripped, Verdict::bottomed, Verdict::cross_threaded})
    REQUIRE(trace::is_fault(v));
  for (const Verdict v : {Verdict::retightened, Verdict::prevailing, Verdict::sound, Verdict::not_yielded})
    REQUIRE_FALSE(trace::is_fault(v));
}

}  // namespace
