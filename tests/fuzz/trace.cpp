// A logger's file is refused, or becomes a curve that rises in angle, whose reading has no impossible figure.
#include "tests/fuzz/fuzz.h"

#include <clampbook/trace/read_trace.h>
#include <clampbook/trace/reading.h>

#include <cmath>
#include <sstream>

using namespace clampbook;

namespace {

bool is_finite(const std::optional<trace::CurvePlace>& place) {
  return !place || (std::isfinite(place->torque.value()) && std::isfinite(place->angle.value()));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::istringstream in{std::string(fuzz::as_text(data, size))};
  try {
    const trace::TraceFile file = trace::read_trace(in, "input");
    const trace::Curve& curve = file.curve;
    for (std::size_t i = 0; i < curve.points.size(); ++i) {
      fuzz::require(std::isfinite(curve.points[i].degrees) && std::isfinite(curve.points[i].newton_metres) &&
                        std::isfinite(curve.points[i].running),
                    "points are finite");
      if (i > 0)
        fuzz::require(curve.points[i - 1].degrees <= curve.points[i].degrees, "the angle of a curve rises");
    }
    fuzz::require(curve.leaps <= curve.samples, "what is left out was there");
    const trace::TraceReading reading = trace::read_curve(curve);
    fuzz::require(!trace::name(reading.verdict).empty(), "a verdict has a name");
    fuzz::require(is_finite(reading.snug) && is_finite(reading.yield), "places are finite");
    fuzz::require(std::isfinite(reading.peak.value()) && std::isfinite(reading.end.value()) &&
                      std::isfinite(reading.end_torque.value()),
                  "peak and end are finite");
    if (reading.slope) fuzz::require(std::isfinite(reading.slope->value()), "a slope is finite");
    if (reading.prevailing) fuzz::require(std::isfinite(reading.prevailing->value()), "torque is finite");
    if (reading.elastic)
      fuzz::require(
          reading.elastic->first <= reading.elastic->last && reading.elastic->last < curve.points.size(),
          "the elastic line lies on the curve");
    const auto yield = trace::offset_yield(curve, reading, units::of(4, units::degree));
    fuzz::require(is_finite(yield), "the offset yield is finite");
  } catch (const InputError& refusal) {
    fuzz::require_helpful(refusal);
  }
  return 0;
}
