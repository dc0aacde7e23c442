// The parts of a pull's curve, found one after the other: run-down, elastic line, snug point, yield. Angles
// in degrees, torques in N·m; docs/physics.md section 14 says why each is found in this way.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/trace/statistics.h>

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace clampbook::trace {

/// Torque before the parts meet.
struct RunDown {
  double seat = 0;       ///< the first angle from which torque stays over 15 % of the rise for 6°
  double length = 0;     ///< degrees of it that were judged
  double torque = 0;     ///< median
  double deviation = 0;  ///< median distance from it, times 1.48
  double trend = 0;      ///< median of the last quarter less that of the first
};

/// Judges what lies before `end_of_thread` degrees (the seat - 25° when left out).
[[nodiscard]] RunDown run_down(std::span<const CurvePoint> points, double peak,
                               std::optional<double> end_of_thread = std::nullopt);

/// Torque per degree in a sliding window.
struct Gradient {
  double window = 0;             ///< degrees
  std::vector<double> values{};  ///< one for each point
};

/// With the narrowest of 6, 8, 12, 16, 24 degrees that tames the noise between 30 and 70 % of the rise.
[[nodiscard]] Gradient gradient(std::span<const CurvePoint> points, const LineFits& fits, double base,
                                std::size_t peak);

/// The straight part of the rise.
struct ElasticPart {
  Line line{};
  std::size_t first = 0, last = 0;  ///< points of the line, last included
  double noise = 0;                 ///< N·m about it, as a standard deviation
};
/// Where the gradient stays between 0.85 and 1.25 times `reference`, but for up to 3 points in a row, less a
/// tenth at either end, which bends already. Nothing when the longest such run has fewer than 4 points or
/// rises by less than 6 % of the whole rise from `base` to the point `peak`.
[[nodiscard]] std::optional<ElasticPart> elastic_part(std::span<const CurvePoint> points,
                                                      const Gradient& gradient, double reference, double base,
                                                      std::size_t peak);

/// The curve as lines of `window` degrees show it at each point.
[[nodiscard]] std::vector<CurvePoint> smoothed(std::span<const CurvePoint> points, const LineFits& fits,
                                               double window);

/// From here on the smoothed curve lies within 1.5° of the line; not before the line meets `base`. Nothing
/// when it does so from its first point: then it lies before them; nor when it does so nowhere.
[[nodiscard]] std::optional<double> snug_angle(std::span<const CurvePoint> smooth, const ElasticPart& part,
                                               double base);

/// Where torque per degree has fallen to half of the line's; nothing when it never does for 3°.
[[nodiscard]] std::optional<double> half_slope_angle(std::span<const CurvePoint> points,
                                                     const Gradient& gradient, const ElasticPart& part);
/// Where the curve crosses the line moved by `offset` degrees, and stays beyond it for 3°.
[[nodiscard]] std::optional<double> offset_crossing(std::span<const CurvePoint> points,
                                                    const ElasticPart& part, double offset);
/// Torque of the curve at an angle: a line through the points within `reach` degrees.
[[nodiscard]] double torque_near(std::span<const CurvePoint> points, const LineFits& fits, double angle,
                                 double reach);

/// A rounded knee laid through the points from `first` on:
///
///   Q = c0 + c1 A - c2 w ln(1 + exp((A - a)/w))
///
/// Angle at which its slope is c1/2; nothing when it never falls so low. Hardening far behind the knee is
/// none of its shape: once it is found roughly, only what lies up to `beyond` degrees behind it, or
/// behind `expected`, counts.
[[nodiscard]] std::optional<double> knee_angle(std::span<const CurvePoint> points, std::size_t first,
                                               double beyond, double expected);

}  // namespace clampbook::trace
