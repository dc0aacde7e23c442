// What a pull's curve says of the bolt: prevailing torque, snug point, elastic slope, yield, and a verdict.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/trace/shape.h>
#include <clampbook/units/quantities.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::trace {

/// The first that fits.
enum class Verdict {
  too_short,    ///< no straight rise to be found
  retightened,  ///< the bolt was tight already
  stripped,     ///< torque fell for good: a thread or the bolt gave way
  bottomed,     ///< torque grew much stiffer: the bolt touched the ground of its hole, or ran out of thread
  cross_threaded,  ///< uneven torque while it ran down
  prevailing,      ///< steady torque while it ran down: a lock nut or an insert
  sound,           ///< went past yield
  not_yielded,     ///< ended on its straight rise; no fault
};

/// "too_short" ...
[[nodiscard]] std::string_view name(Verdict verdict);
/// True for what must be looked at: too_short, stripped, bottomed, cross_threaded.
[[nodiscard]] bool is_fault(Verdict verdict);

/// A torque and the angle at which it was.
struct CurvePlace {
  units::Torque torque;
  units::Angle angle;
};

struct TraceReading {
  std::optional<units::Torque> prevailing{};     ///< median running torque; nothing under 60° of run-down
  std::optional<CurvePlace> snug{};              ///< from here on within 1.5° of the elastic line
  std::optional<units::TorqueRate> slope{};      ///< of the elastic line
  std::optional<units::Angle> elastic_origin{};  ///< where that line meets the prevailing torque, else zero
  std::optional<CurvePlace> yield{};             ///< torque per degree has fallen to half of the slope
  units::Torque peak{};
  units::Angle end{};  ///< the largest angle
  units::Torque end_torque{};
  Verdict verdict = Verdict::too_short;
  std::vector<std::string> notes{};
  double window = 0;                     ///< degrees over which the gradient was taken
  std::optional<ElasticPart> elastic{};  ///< in the curve's points, for what a schedule adds
};

/// valid   one pull of one bolt; docs/accuracy.md tells how well
/// source  docs/physics.md section 14
[[nodiscard]] TraceReading read_curve(const Curve& curve);

/// Where the curve crosses the elastic line moved by `offset`: the angle that 0.2 % plastic strain adds to
/// the head (joint::TighteningModel::offset_angle). Nothing without an elastic line, without a crossing, or
/// where a fault bends the curve (retightened, stripped, bottomed, cross_threaded).
/// in      offset  finite, above zero
[[nodiscard]] std::optional<CurvePlace> offset_yield(const Curve& curve, const TraceReading& reading,
                                                     units::Angle offset);

}  // namespace clampbook::trace
