// What a schedule adds to a torque-angle curve: with the springs of the joint known, the slope tells the
// lever, and with it the clamp load; and the line beside the elastic one tells where 0.2 % strain was
// reached.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/bolt_model.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/trace/reading.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::plan {

/// Standard deviation of a preload from a slope: 5 % for the stiffness of the joint, which enters in full, 3
/// % for friction that drifts on the way up and differs between thread and seat, 1 % for the slope.
inline constexpr double kTracePreloadVariation = 0.06;

struct TraceJoint {
  std::optional<trace::CurvePlace> yield_02{};      ///< 0.2 % plastic strain in the weakest section
  std::optional<Estimate<joint::Force>> preload{};  ///< at the end of the pull; median, 5 % and 95 %
  std::optional<double> friction{};                 ///< of both faces, as one figure
  std::vector<std::string> notes{};                 ///< why something of it is missing
};

/// Nothing of a curve without an elastic line, and no preload where a fault makes torque a poor witness:
/// too_short, retightened, stripped, bottomed, cross_threaded.
///
///   k = slope C_e(k)      F = (T_end - T_prevailing)/k      [docs/physics.md equations 14.6 and 14.7]
///
/// in      name  of the fastener, for notes
[[nodiscard]] TraceJoint read_joint(const trace::Curve& curve, const trace::TraceReading& reading,
                                    const BoltModel& bolt, const std::string& name);

}  // namespace clampbook::plan
