// One kind of bolt on its way through its stages: the nominal walk and the sampled ones. Only this room
// includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/tightening.h>
#include <clampbook/plan/prediction.h>

#include <string>
#include <vector>

namespace clampbook::plan {

/// The bolts of a fastener that go through the same stages.
struct TighteningCase {
  std::string name;
  std::size_t fastener = 0;
  std::vector<std::string> bolts{};              ///< ids
  std::vector<const schedule::Stage*> stages{};  ///< those on bolts, in file order
};

/// One case for each fastener, or for each of its groups where their stages differ.
[[nodiscard]] std::vector<TighteningCase> tightening_cases(const schedule::Schedule& schedule);

/// What happens in a stage, in plain figures.
struct StageAction {
  const schedule::Stage* stage;
  std::optional<joint::Torque> torque{};  ///< snug, torque, recheck
  std::optional<joint::Angle> angle{};    ///< angle, loosen by an angle
  std::optional<joint::Length> stretch{};
  std::optional<double> yield_share{};
  bool loosen = false;
  double limit = 0;  ///< of error: a share for torques, radians for angles, metres for stretch
};

[[nodiscard]] std::vector<StageAction> actions_of(const TighteningCase& tightening,
                                                  const Accuracies& accuracies);

/// A bolt's state with what cannot be known: after an angle without joint data, or tightened by hand.
struct WalkState {
  joint::TighteningState state{};
  bool known = true;
};

/// Takes the bolt through one stage. `torque_factor` scales the torque that the wrench shows, `travel` is
/// added to an angle (radians) or a stretch (metres).
[[nodiscard]] WalkState walk(const joint::TighteningModel& model, const StageAction& action, WalkState from,
                             double torque_factor, double travel, bool has_joint);

}  // namespace clampbook::plan
