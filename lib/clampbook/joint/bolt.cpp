#include <clampbook/joint/bolt.h>
#include <clampbook/joint/domain.h>

namespace clampbook::joint {

namespace {

// Lengths that a person typed in another unit still add up.
constexpr double kShankSlack = 1e-9;
constexpr double kGripSlack = 1e-6;

}  // namespace

Length free_thread(const BoltGeometry& bolt) {
  require_positive(bolt.grip, "grip");
  Length shank = units::of(0, units::metre);
  for (const ShankPiece& piece : bolt.shank) {
    require_positive(piece.length, "shank length");
    require_positive(piece.diameter, "shank diameter");
    require_between(piece.diameter / bolt.thread.diameter(), 0.25, 2, "shank diameter over thread diameter");
    shank += piece.length;
  }
  if (shank > bolt.grip * (1 + kShankSlack)) {
    throw DomainError("shank length", units::si_number(shank), "at most the grip");
  }
  return shank < bolt.grip ? bolt.grip - shank : units::of(0, units::metre);
}

void require_sound(const ClampedParts& parts, Length grip) {
  require_positive(grip, "grip");
  require_positive(parts.hole, "hole");
  require_positive(parts.seat_outer, "seat outer diameter");
  require_positive(parts.receiver_modulus, "receiver modulus");
  if (!(parts.seat_outer > parts.hole)) {
    throw DomainError("seat outer diameter", units::si_number(parts.seat_outer), "larger than the hole");
  }
  Length sum = units::of(0, units::metre);
  for (const Layer& layer : parts.layers) {
    require_positive(layer.thickness, "layer thickness");
    require_positive(layer.modulus, "layer modulus");
    require_positive(layer.outer, "layer outer diameter");
    if (!(layer.outer > parts.hole)) {
      throw DomainError("layer outer diameter", units::si_number(layer.outer), "larger than the hole");
    }
    sum += layer.thickness;
  }
  require_between(sum / grip, 1 - kGripSlack, 1 + kGripSlack, "sum of the layers over the grip");
}

}  // namespace clampbook::joint
