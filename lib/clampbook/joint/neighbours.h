// Tightening one bolt eases its neighbours: the cover between them bends and its bed gives.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/types.h>

#include <cstddef>
#include <memory>
#include <vector>

namespace clampbook::joint {

/// Where a bolt stands, seen from above.
struct Place {
  Length x;
  Length y;
};

/// A cover on its bed. The bed is the part below and, if there is one, a gasket.
struct Cover {
  Length thickness;      ///< t
  Stress modulus;        ///< E
  double poisson = 0.3;  ///< nu, 0 .. 0.5
  Length below;          ///< thickness of the part below; counts up to 2 t
  Stress below_modulus;
  Length gasket;          ///< thickness; zero without
  Stress gasket_modulus;  ///< ignored without
};

/// -kei(x), the Kelvin function: the shape of the dip that one force presses into a plate on springs; pi/4
/// at 0.
/// in      x  not below zero, without dimension
/// error   1e-13 absolute
/// source  docs/physics.md equation 12.2
[[nodiscard]] double minus_kei(double x);

/// L = (D/k_f)^(1/4), how far a bolt is felt: D bends the plate, k_f is the bed's stiffness for each area.
/// throws  DomainError
[[nodiscard]] Length influence_length(const Cover& cover);

/// All bolts of one cover on their way to tight. Elastic, an infinite plate: edge bolts come out too stiff.
///
///   (delta_S + delta_P) F_j + sum over k of A_jk F_k = u_j        A_jk = L^2/(2 pi D) (-kei(r/L))
///
/// source  docs/physics.md equations 12.1 to 12.3
class NeighbourJoint {
 public:
  /// in      places   1 .. 500, no two closer than 1 micrometre
  ///         springs  delta_S + delta_P of one bolt, above zero
  /// throws  DomainError
  NeighbourJoint(const std::vector<Place>& places, Resilience springs, const Cover& cover);
  NeighbourJoint(NeighbourJoint&&) noexcept;
  NeighbourJoint& operator=(NeighbourJoint&&) noexcept;
  ~NeighbourJoint();

  /// Turns bolt `i` until it bears `target`; one that bears as much already is left as it is. The nuts of the
  /// others stay where they are and their forces change; one that would push goes loose until its gap closes
  /// again.
  /// throws  DomainError on an unknown bolt or a target that is not finite or below zero;
  ///         std::runtime_error when the bolts do not come to rest
  void tighten(std::size_t i, Force target);
  [[nodiscard]] std::size_t size() const;
  [[nodiscard]] Force preload(std::size_t i) const;
  [[nodiscard]] std::vector<Force> preloads() const;

 private:
  struct Solver;
  std::unique_ptr<Solver> solver_;
};

}  // namespace clampbook::joint
