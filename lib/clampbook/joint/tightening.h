// A bolt on its way through the stages: torque, then angle, through yield, off and on again.
//
// With friction fixed, twist grows in proportion to pull, so a section yields at a preload of its own and
// then flows along a straight line. The head's angle is a piecewise linear function of preload, and its
// inverse is exact:
//
//   theta(F) = F C_e + sum over sections of max(0, F - F_y,i) S_i
//
// No step, no iteration; a sample costs a handful of multiplications.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/bolt.h>
#include <clampbook/joint/friction.h>
#include <clampbook/joint/resilience.h>
#include <clampbook/joint/strength.h>

#include <array>
#include <cstddef>
#include <optional>

namespace clampbook::joint {

/// A length of bolt that can flow: a shank piece, or the free thread with its stress diameter.
struct FlowSection {
  Length length;    ///< not below zero
  Length diameter;  ///< of the round bar with its area
};

/// What a bolt and its joint bring to tightening, worked out once for all samples. Cheap to copy.
class TighteningGeometry {
 public:
  static constexpr std::size_t kMostSections = 12;

  /// The free thread and the shank pieces flow; pieces of one diameter count as one.
  /// throws  DomainError, also for more than 12 different diameters
  [[nodiscard]] static TighteningGeometry from(const BoltGeometry& bolt, const ClampedParts& parts);
  /// The same from its springs.
  [[nodiscard]] static TighteningGeometry from(const BoltGeometry& bolt, const JointSprings& springs);

  [[nodiscard]] Length pitch() const { return pitch_; }
  [[nodiscard]] const JointSprings& springs() const { return springs_; }
  [[nodiscard]] std::size_t section_count() const { return count_; }
  [[nodiscard]] const FlowSection& section(std::size_t i) const { return sections_[i]; }
  /// The same bolt in a joint whose bolt and parts give `factor` times as much.
  /// in      factor  0.01 .. 100
  [[nodiscard]] TighteningGeometry softened(double factor) const;

 private:
  TighteningGeometry(Length pitch, const JointSprings& springs) : pitch_(pitch), springs_(springs) {}
  void add(FlowSection section);

  Length pitch_;
  JointSprings springs_;
  std::array<FlowSection, kMostSections> sections_{};
  std::size_t count_ = 0;
};

/// Where one bolt stands. Starts slack and unused.
struct TighteningState {
  Force preload{};          ///< F; meaningless once broken
  Force largest{};          ///< the largest F it ever bore: from there on it yields
  Force largest_at_rest{};  ///< the same when it was last slack: growth up to it is not of this pull
  bool broken = false;      ///< past what a section takes before Rm: no preload
};

/// One bolt with one sample of friction, strength and elasticity.
/// source  docs/physics.md section 6
class TighteningModel {
 public:
  /// in      thread_lever, lever  as torque.h gives them; lever not below thread_lever
  ///         strength             tensile above yield
  /// throws  DomainError
  TighteningModel(const TighteningGeometry& geometry, LeverArm thread_lever, LeverArm lever,
                  const Strength& strength);
  /// The same from a contact.
  TighteningModel(const TighteningGeometry& geometry, const Thread& thread, const Contact& contact,
                  const Strength& strength);
  /// From a nut factor alone: no thread torque is known, so there is no twist and nothing is said of yield.
  TighteningModel(const TighteningGeometry& geometry, LeverArm lever);

  // Stages. Each throws DomainError on a value that is not finite or below zero; a broken bolt stays broken.
  // A bolt that would pass its breaking preload comes back broken.

  /// Turned until the wrench reads `torque`: F = T/k, never less than before.
  [[nodiscard]] TighteningState torque(TighteningState from, Torque torque) const;
  /// Turned on by `angle`.
  [[nodiscard]] TighteningState angle(TighteningState from, Angle angle) const;
  /// Turned until the bolt is longer by `stretch` than when it was last slack; never less than before.
  [[nodiscard]] TighteningState stretch(TighteningState from, Length stretch) const;
  /// Brought to a preload without turning back.
  [[nodiscard]] TighteningState to_preload(TighteningState from, Force preload) const;
  /// Turned until torque per degree has fallen to `share` of its elastic value: the preload at which enough
  /// sections flow. Nothing when the model knows no yield or its slope never falls so low.
  /// in      share  above 0, below 1
  [[nodiscard]] std::optional<TighteningState> yield_controlled(TighteningState from, double share) const;
  /// Slack. Growth stays.
  [[nodiscard]] TighteningState loosen(TighteningState from) const;
  /// Turned back by `angle` along the elastic line, at most until slack.
  [[nodiscard]] TighteningState loosen(TighteningState from, Angle angle) const;

  // What the state means.

  [[nodiscard]] Torque torque_at(const TighteningState& state) const { return state.preload * lever_; }
  /// Angle of the head since the bolt was last slack.
  [[nodiscard]] Angle angle_at(const TighteningState& state) const;
  /// Lengthening between the bolt's ends since it was last slack.
  [[nodiscard]] Length stretch_at(const TighteningState& state) const;
  /// von Mises stress over yield in the section that yields first, at most 1. Nothing without a thread
  /// torque.
  [[nodiscard]] std::optional<double> utilisation(const TighteningState& state) const;
  /// Lasting lengthening of all pulls together.
  [[nodiscard]] Length growth(const TighteningState& state) const;
  /// Largest plastic strain over the elongation that the section takes before Rm; above 1 it is broken.
  [[nodiscard]] double growth_share(const TighteningState& state) const;
  /// Turn left until the first section flows, or flows on; zero past it.
  [[nodiscard]] std::optional<Angle> elastic_limit_angle(const TighteningState& state) const;
  /// The torsion that springs back when the wrench is taken off and that the next pull winds up again before
  /// the nut moves: `share` of psi c_G F. Stages here count from the wound-up position; take this off a
  /// reading that was counted from rest.
  [[nodiscard]] Angle spring_back(const TighteningState& state, double share = 0.5) const;

  /// Turn of the head that an equivalent plastic strain adds in the section that yields first: how far an
  /// offset line stands beside the elastic one. Nothing without a thread torque.
  /// in      plastic_strain  0 .. 0.1
  /// source  docs/physics.md equation 6.6
  [[nodiscard]] std::optional<Angle> offset_angle(double plastic_strain = 0.002) const;

  /// The smallest yield preload of all sections: nothing without a thread torque.
  [[nodiscard]] std::optional<Force> yield_preload() const;
  [[nodiscard]] std::optional<Force> breaking_preload() const;
  [[nodiscard]] LeverArm lever() const { return lever_; }
  [[nodiscard]] AnglePerForce elastic_angle() const { return elastic_angle_; }  ///< C_e
  /// Torque per turn of the head while elastic: k/C_e.
  [[nodiscard]] TorqueRate elastic_slope() const { return lever_ / elastic_angle_; }

 private:
  // Sorted by yield preload.
  struct Flow {
    Force yield_preload{};
    AnglePerForce angle{};             // S_i
    Resilience growth{};               // l/(A Hh)
    units::Per<Ratio, Force> share{};  // q/(A Hh A_min)
  };

  void add(const FlowSection& section, const Strength& strength);
  [[nodiscard]] TighteningState settle(TighteningState state, Force preload) const;
  [[nodiscard]] Angle flow_angle(Force largest) const;
  [[nodiscard]] Length flow_growth(Force largest) const;
  [[nodiscard]] Force yields_next(const TighteningState& state) const;
  template <class Travel, class Compliance>
  [[nodiscard]] Force advance(const TighteningState& from, Travel travel, Compliance elastic,
                              Compliance Flow::*plastic) const;

  Length pitch_;
  Resilience bolt_;
  TorsionalResilience twist_;
  LeverArm thread_lever_;
  LeverArm lever_;
  AnglePerForce elastic_angle_;
  Force breaking_preload_{};
  double elongation_ = 0;
  std::array<Flow, TighteningGeometry::kMostSections> flows_{};
  std::size_t count_ = 0;
};

}  // namespace clampbook::joint
