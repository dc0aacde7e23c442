#include <clampbook/joint/load.h>

#include <clampbook/joint/domain.h>

#include <algorithm>

namespace clampbook::joint {

namespace {

const Force kNoForce = units::of(0, units::newton);

Resilience sum_of(Resilience bolt, Resilience parts) {
  return require_positive(bolt, "bolt resilience") + require_not_negative(parts, "parts resilience");
}

}  // namespace

double load_share(Resilience bolt, Resilience parts) {
  return parts / sum_of(bolt, parts);
}

Force bolt_load(Force preload, double share, Force axial_load) {
  // Written so that the gaping joint is the limit of the closed one, without a jump at separation.
  return std::max<Force>(axial_load + residual_clamp(preload, share, axial_load), axial_load);
}

Force residual_clamp(Force preload, double share, Force axial_load) {
  require_not_negative(preload, "preload");
  require_not_negative(axial_load, "axial load");
  require_between(share, 0, 1, "share of the load");
  return std::max<Force>(preload - (1 - share) * axial_load, kNoForce);
}

Length nut_travel(Angle angle, Length pitch) {
  require_not_negative(angle, "angle");
  require_positive(pitch, "pitch");
  return pitch * (angle / units::of(2 * kPi, units::radian));
}

Force elastic_preload(Angle angle, Length pitch, Resilience bolt, Resilience parts) {
  return nut_travel(angle, pitch) / sum_of(bolt, parts);
}

Angle elastic_angle(Force preload, Length pitch, Resilience bolt, Resilience parts) {
  require_not_negative(preload, "preload");
  require_positive(pitch, "pitch");
  const Length travel = preload * sum_of(bolt, parts);
  return travel / pitch * units::of(2 * kPi, units::radian);
}

}  // namespace clampbook::joint
