#include <clampbook/joint/stripping.h>

#include <clampbook/joint/domain.h>
#include <clampbook/joint/seat.h>

#include <algorithm>

namespace clampbook::joint {

namespace {

constexpr double kTan30 = 0.57735026918962576451;

// Both threads bend as they shear: the weaker one's neighbour loses its grip. Polynomials of VDI 2230 (after
// Alexander), from memory; `ratio` is the mate's thread strength over the bolt's. Both meet at 0.897 for
// equal threads.
double external_factor(double ratio) {
  if (ratio <= 1) return 0.897;
  const double r = std::min(ratio, 2.2);
  return 5.594 + r * (-13.682 + r * (14.107 + r * (-6.057 + r * 0.9353)));
}

double internal_factor(double ratio) {
  if (ratio >= 1) return 0.897;
  const double r = std::max(ratio, 0.4);
  return 0.728 + r * (1.769 + r * (-2.896 + r * 1.296));
}

}  // namespace

ShearAreas shear_areas(const Thread& thread, Length effective_engagement) {
  require_not_negative(effective_engagement, "engagement");
  const double turns = effective_engagement / thread.pitch();
  const Length half = thread.pitch() / 2.0;
  const Length internal = half + (thread.diameter() - thread.pitch_diameter()) * kTan30;
  const Length external = half + (thread.pitch_diameter() - thread.nut_minor_diameter()) * kTan30;
  return {kPi * turns * (thread.diameter() * internal),
          kPi * turns * (thread.nut_minor_diameter() * external)};
}

Length effective_engagement(const Thread& thread, Length engagement) {
  require_not_negative(engagement, "engagement");
  const Length lost = 2.0 * thread.pitch();
  return engagement > lost ? engagement - lost : units::of(0, units::metre);
}

Stripping check_stripping(const Thread& thread, Stress bolt_tensile, const InternalThread& mate,
                          Length engagement, double bolt_shear_ratio) {
  require_positive(bolt_tensile, "tensile strength of the bolt");
  require_positive(mate.tensile, "tensile strength of the mate");
  require_positive(engagement, "engagement");
  for (const double ratio : {mate.shear_ratio, bolt_shear_ratio}) {
    if (!(ratio > 0 && ratio <= 2)) throw DomainError("shear ratio", ratio, "above 0 and at most 2");
  }
  const ShearAreas one = shear_areas(thread, thread.pitch());  // of one turn
  const double ratio = mate.tensile * mate.shear_ratio * one.internal /
                       (kStrongestTensile * bolt_tensile * bolt_shear_ratio * one.external);
  const Force internal = one.internal * mate.tensile * mate.shear_ratio * internal_factor(ratio);
  const Force external = one.external * bolt_tensile * bolt_shear_ratio * external_factor(ratio);
  const Force breaking = thread.stress_area() * (kStrongestTensile * bolt_tensile);
  // A stronger bolt's own thread is stronger alike, so its breaking load is compared with the least Rm there.
  const double internal_turns = breaking / internal;
  const double external_turns = thread.stress_area() * bolt_tensile / external;
  const double turns = effective_engagement(thread, engagement) / thread.pitch();
  Stripping out{turns * internal, turns * external, breaking, 0, units::of(0, units::metre)};
  out.safety = turns / std::max(internal_turns, external_turns);
  out.needed = (std::max(internal_turns, external_turns) + 2) * thread.pitch();
  return out;
}

}  // namespace clampbook::joint
