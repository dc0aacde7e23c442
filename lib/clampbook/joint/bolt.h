// The geometry of a joint as a person describes it: the bolt's lengths, and what it clamps.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/head.h>
#include <clampbook/joint/thread.h>

#include <vector>

namespace clampbook::joint {

/// A plain part of the shank inside the grip: full size, a waist or a collar.
struct ShankPiece {
  Length length;
  Length diameter;
};

enum class Receiver { tapped, nut };

struct BoltGeometry {
  Thread thread;
  HeadShape head = HeadShape::hexagon;
  std::vector<ShankPiece> shank;  ///< from the head on; may be empty
  Length grip;                    ///< from the head to the first engaged thread
  Stress modulus = units::of(205, units::gigapascal);
  double poisson = 0.3;
};

/// One clamped part, or a washer, from the head on.
struct Layer {
  Length thickness;
  Length outer;  ///< diameter of the part around the bolt
  Stress modulus;
};

struct ClampedParts {
  std::vector<Layer> layers;
  Length seat_outer;  ///< dw, under the head (and under the nut)
  Length hole;        ///< dh
  Receiver receiver = Receiver::tapped;
  Stress receiver_modulus;  ///< of the tapped part or the nut
};

/// Threaded length inside the grip that no mate holds: grip less the shank, never below zero.
/// throws  DomainError when a length or diameter is not above zero, the shank is longer than the grip
///         (by more than 1e-9 of it), or a shank piece is thinner than a quarter of the thread's diameter
///         or thicker than twice
[[nodiscard]] Length free_thread(const BoltGeometry& bolt);

/// throws  DomainError when there is no layer, a dimension is not above zero, the hole is not smaller than
///         the seat and every layer, or the layers do not add up to `grip` (1e-6 of it allowed)
void require_sound(const ClampedParts& parts, Length grip);

}  // namespace clampbook::joint
