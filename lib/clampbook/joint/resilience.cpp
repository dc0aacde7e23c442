#include <clampbook/joint/resilience.h>

#include <clampbook/joint/domain.h>
#include <clampbook/joint/material.h>

#include <algorithm>
#include <cmath>

namespace clampbook::joint {

namespace {

constexpr double kEngagedThread = 0.5;  // of the diameter, VDI 2230
constexpr double kNut = 0.4;
constexpr double kTappedHole = 0.33;

const Length kNoLength = units::of(0, units::metre);

Area disc(Length diameter) {
  return kPi / 4 * (diameter * diameter);
}

AreaMoment polar_moment(Length diameter) {
  const Area square = diameter * diameter;
  return kPi / 32 * (square * square);
}

}  // namespace

Resilience bar_resilience(Length length, Area area, Stress modulus) {
  require_not_negative(length, "length");
  require_positive(area, "area");
  require_positive(modulus, "modulus");
  return length / (modulus * area);
}

Resilience bolt_resilience(const BoltGeometry& bolt, Receiver receiver, Stress receiver_modulus) {
  const Length d = bolt.thread.diameter();
  const Length threaded = free_thread(bolt) + kEngagedThread * d;
  Resilience sum = bar_resilience(head_substitute_length(bolt.head, d), disc(d), bolt.modulus) +
                   bar_resilience(threaded, bolt.thread.minor_area(), bolt.modulus);
  for (const ShankPiece& piece : bolt.shank)
    sum += bar_resilience(piece.length, disc(piece.diameter), bolt.modulus);
  return sum + (receiver == Receiver::nut ? bar_resilience(kNut * d, disc(d), receiver_modulus)
                                          : bar_resilience(kTappedHole * d, disc(d), receiver_modulus));
}

TorsionalResilience bolt_twist(const BoltGeometry& bolt) {
  const Length d = bolt.thread.diameter();
  const Stress g = shear_modulus(bolt.modulus, bolt.poisson);
  const Length threaded = free_thread(bolt) + kEngagedThread * d;
  auto sum = threaded / polar_moment(bolt.thread.minor_diameter()) +
             head_substitute_length(bolt.head, d) / polar_moment(d);
  for (const ShankPiece& piece : bolt.shank) sum += piece.length / polar_moment(piece.diameter);
  const Angle radian = units::of(1, units::radian);
  return sum / g * (radian * radian);
}

Resilience frustum_resilience(Length thickness, Length small_diameter, Length hole, double tangent,
                              Stress modulus) {
  require_not_negative(thickness, "thickness");
  require_positive(hole, "hole");
  require_positive(modulus, "modulus");
  require_positive(small_diameter, "cone diameter");
  require_between(tangent, 0, 10, "tangent of the cone");
  if (!(small_diameter > hole))
    throw DomainError("cone diameter", units::si_number(small_diameter), "above the hole");
  const Length widening = 2 * tangent * thickness;
  // The logarithm of the printed form, rearranged so that a narrow cone or a thin slice keeps its digits:
  // (D1+h)(D2-h)/((D1-h)(D2+h)) = 1 + 2 h (D2-D1)/((D1-h)(D2+h)).
  const double excess =
      2.0 * hole * widening / ((small_diameter - hole) * (small_diameter + widening + hole));
  if (excess < 1e-300) return thickness / (modulus * (disc(small_diameter) - disc(hole)));
  return std::log1p(excess) / (modulus * kPi * hole * tangent);
}

double cone_tangent(Length seat_outer, Length outer, Length grip, Receiver receiver) {
  require_positive(seat_outer, "seat outer diameter");
  require_positive(outer, "outer diameter");
  require_positive(grip, "grip");
  const bool nut = receiver == Receiver::nut;
  const double slenderness = grip / seat_outer;
  const double base = nut ? 0.362 + 0.032 * std::log(slenderness / 2) : 0.348 + 0.013 * std::log(slenderness);
  const double growth = nut ? 0.153 : 0.193;
  const double reach = (nut ? 1 : 2) * slenderness;  // the cone's widening over dw, for a tangent of one
  const double limit = std::max<double>(1, outer / seat_outer);
  // The cone's own width enters the logarithm; the fixed point contracts (growth * reach/y < 1), and a part
  // narrower than the cone stops it at once.
  double tangent = 0.5;
  for (int i = 0; i < 200; ++i) {
    const double y = std::min(limit, 1 + reach * tangent);
    const double next = std::clamp(base + growth * std::log(y), 0.05, 2.0);
    const bool settled = std::abs(next - tangent) <= 1e-15 * next;
    tangent = next;
    if (settled) break;
  }
  return tangent;
}

Resilience parts_resilience(const ClampedParts& parts, Length grip) {
  require_sound(parts, grip);
  Length narrowest = parts.layers.front().outer;
  for (const Layer& layer : parts.layers) narrowest = std::min(narrowest, layer.outer);
  const double tangent = cone_tangent(parts.seat_outer, narrowest, grip, parts.receiver);

  // The frustum between two depths of one cone, in one layer.
  const auto slice = [&](Length from, Length to, const Layer& layer) {
    const Length meets = (layer.outer - parts.seat_outer) / (2 * tangent);
    const Length cone_end = std::clamp(meets, from, to);
    const Length start = std::min<Length>(parts.seat_outer + 2 * tangent * from, layer.outer);
    Resilience sum = bar_resilience(to - cone_end, disc(layer.outer) - disc(parts.hole), layer.modulus);
    if (cone_end > from)
      sum += frustum_resilience(cone_end - from, start, parts.hole, tangent, layer.modulus);
    return sum;
  };

  // The sum in this very order, so that the last layer ends on it exactly.
  Length depth = kNoLength;
  for (const Layer& layer : parts.layers) depth += layer.thickness;
  const bool nut = parts.receiver == Receiver::nut;
  const Length middle = nut ? Length(depth / 2.0) : depth;

  Resilience sum = units::of(0, units::metre_per_newton);
  Length top = kNoLength;
  for (const Layer& layer : parts.layers) {
    const Length bottom = top + layer.thickness;
    if (top < middle) sum += slice(top, std::min(bottom, middle), layer);
    // Below the middle the second cone, which opens from the nut, is read from its own seat.
    if (bottom > middle) sum += slice(depth - bottom, depth - std::max(top, middle), layer);
    top = bottom;
  }
  return sum;
}

JointSprings joint_springs(const BoltGeometry& bolt, const ClampedParts& parts) {
  return {bolt_resilience(bolt, parts.receiver, parts.receiver_modulus), parts_resilience(parts, bolt.grip),
          bolt_twist(bolt)};
}

Stiffness stiffness(Resilience resilience) {
  return 1.0 / require_positive(resilience, "resilience");
}

}  // namespace clampbook::joint
