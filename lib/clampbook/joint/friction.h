// Friction of the two faces that a tightened bolt slides on, as types that cannot be swapped, and their
// determination from a test that measures torque and force.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/domain.h>
#include <clampbook/joint/thread.h>

namespace clampbook::joint {

/// A coefficient of friction, above 0 and at most 1.
template <class Face>
class Friction {
 public:
  /// throws  DomainError
  explicit Friction(double coefficient) : coefficient_(coefficient) {
    if (!(coefficient > 0 && coefficient <= 1))
      throw DomainError(Face::kName, coefficient, "above 0 and at most 1");
  }
  /// The limit of no friction at all: no real face has it, but every formula keeps it.
  [[nodiscard]] static Friction none() { return Friction(); }
  [[nodiscard]] double coefficient() const { return coefficient_; }

 private:
  Friction() : coefficient_(0) {}
  double coefficient_;
};

struct ThreadFace {
  static constexpr const char* kName = "thread friction";
};
struct SeatFace {
  static constexpr const char* kName = "seat friction";
};
using ThreadFriction = Friction<ThreadFace>;
using SeatFriction = Friction<SeatFace>;

/// The two faces, and the mean diameter of the one under the turned part.
struct Contact {
  ThreadFriction thread;
  SeatFriction seat;
  Length seat_diameter;  ///< Dm
};

/// Dm: the mean of the seat's outer and inner diameter.
/// throws  DomainError unless outer > inner > 0
[[nodiscard]] Length mean_seat_diameter(Length outer, Length inner);

// Determination (docs/physics.md equation 3.8) as ISO 16047 clause 5 prescribes it, with the standard's
// rounded constants and without the product of friction and slope, so that figures agree with a test report.
// Each throws DomainError unless torque, force and diameters are above zero and the result is not below zero.

/// mu_th = (T_th/F - P/2pi) / (0.577 d2)
[[nodiscard]] double thread_friction_from_test(Torque thread_torque, Force force, const Thread& thread);
/// mu_b = T_b / (0.5 Db F)
[[nodiscard]] double seat_friction_from_test(Torque seat_torque, Force force, Length seat_diameter);
/// mu_tot = (T/F - P/2pi) / (0.577 d2 + 0.5 Db)
[[nodiscard]] double total_friction_from_test(Torque torque, Force force, const Thread& thread,
                                              Length seat_diameter);

}  // namespace clampbook::joint
