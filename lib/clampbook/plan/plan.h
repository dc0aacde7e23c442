// The ordered checklist: every figure with its window, every bolt in its turn, every gate in its place.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/model.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::plan {

using schedule::StageKind;
using units::Measured;

/// The torque at which so many of the sampled bolts have yielded, as the wrench shows it less what turns a
/// lock nut, and the turn of this stage at which they have, from rest. Nothing where the schedule doesn't
/// tell.
struct YieldPoint {
  std::optional<Measured> torque{};  ///< N·m
  std::optional<Measured> turn{};    ///< degrees
};

/// The torque that the sampled bolts have at the end of a stage, without what turns a lock nut, in N·m.
struct ExpectedTorque {
  Measured p5, p95;     ///< 5 % and 95 % points
  Measured low, high;   ///< 0.5 % and 99.5 % points
  Measured least;       ///< the 1 in 1000 point as a wrench shows it, its error included
  Measured least_rise;  ///< the 1 in 1000 point of what the torque is above that before the stage
};

/// What the prediction says of a step. Bolts that go through the same stages share it.
struct Forecast {
  YieldPoint yield_from{};                   ///< half of them
  YieldPoint may_yield_from{};               ///< one in twenty
  std::optional<ExpectedTorque> expected{};  ///< of an angle, stretch or yield stage

  [[nodiscard]] bool says_nothing() const { return !yield_from.torque && !yield_from.turn && !expected; }
};

/// One bolt in one stage, or one gate.
struct Step {
  int step = 0;   ///< from 1 in plan order
  int stage = 0;  ///< the stage's number in the file
  std::optional<std::string> stage_name{};
  StageKind kind = StageKind::act;
  std::optional<std::string> bolt{};
  std::optional<std::string> label{};  ///< of a gate with `each:`
  std::string text{};                  ///< what to do, for people
  std::optional<Measured> target{}, low{}, high{};
  bool assumed = false;  ///< the window comes from an assumed tolerance
  std::optional<std::int64_t> expect{};
  std::optional<double> wait_s{};
  std::optional<Measured> setting{};  ///< of the wrench, prevailing torque included

  // What a check needs besides:
  std::optional<schedule::Window> final_torque{};
  std::optional<Measured> prevailing{};  ///< readings hold it on top of the window
  bool may_yield = false;  ///< the prediction says that the bolt may be past its yield point here
  std::shared_ptr<const Forecast> forecast{};  ///< null where nothing is predicted

  /// The dimension of a reading at this step: none for gates and for what is done by hand.
  [[nodiscard]] std::optional<units::Dimension> reading_dimension() const;
  /// What of a torque read at this step tightens the joint: all but what turns a lock nut. Other values as
  /// they are.
  [[nodiscard]] Measured tightening_part(const Measured& read) const;
  [[nodiscard]] bool is_gate() const { return schedule::is_gate(kind); }
  /// Whether the cautions of a stage that may pass the yield point belong to it: loosening has others.
  [[nodiscard]] bool pulls_to_yield() const { return may_yield && kind != StageKind::loosen; }
};

/// A stage in a few words: "torque 30 N·m", "snug by hand", "count: dowels", "wait 10 min".
[[nodiscard]] std::string stage_text(const schedule::Stage& stage);

/// The tool that a list gives to a stage, in words.
struct StageTool {
  std::string name;
  std::string text;       ///< "small, 5..25 N·m, off by at most 4 %"
  std::string adapter{};  ///< "adapter of 40 mm, straight on, wrench of 260 mm"; empty without one
};

struct PlanStage {
  int stage = 0;
  std::optional<std::string> name{};
  StageKind kind = StageKind::act;
  std::vector<std::string> bolts{};  ///< ids in list order
  std::vector<std::string> order{};  ///< ids as tightened
  std::string text{};                ///< "torque 30 N·m", for headings and messages
  std::optional<StageTool> tool{};   ///< when a tool list was given (tools.h)
};

/// A bolt as the plan needs it: for pictures, for the record, for what a bolt has been through.
struct PlanBolt {
  std::string id;
  std::string fastener;
  std::string group{};
  std::optional<Measured> x{}, y{};
};

/// A kind of bolt: what may be used again, and which way it is turned.
struct PlanFastener {
  std::string name;
  schedule::Reuse reuse{};
  bool left_hand = false;
};

/// What a plan has to say: a number that stands against a limit, or a fact that has none.
struct Caution {
  std::string slug;
  std::optional<std::string> fastener{};
  std::optional<int> stage{};
  std::string text{};
  std::optional<double> have{}, limit{};
};

struct Plan {
  std::string title, machine{}, notice{}, view{};
  std::vector<PlanBolt> bolts{};
  std::vector<PlanFastener> fasteners{};
  std::vector<std::string> order{};  ///< ids as tightened
  std::vector<PlanStage> stages{};
  std::vector<Step> steps{};
  std::vector<Caution> cautions{};  ///< empty until somebody asks for them (cautions.h)

  /// The unit system of most of the torques.
  [[nodiscard]] units::System written_in() const;
  /// Whether a step turns a bolt whose thread is left-hand.
  [[nodiscard]] bool left_hand(const Step& step) const;
};

/// Turns a schedule into its plan. `only` (indices in schedule.bolts) leaves out the other bolts' steps and
/// keeps the numbers of the full plan; empty means all.
[[nodiscard]] Plan make_plan(const schedule::Schedule& schedule, const std::vector<std::size_t>& only = {});

/// The tolerance that is assumed where none is written: snug 10 %, torque 4 % (6 % at and below 10 N·m),
/// angle 5°, stretch 5 %; nothing for the others.
[[nodiscard]] std::optional<schedule::Tolerance> assumed_tolerance(StageKind kind, const Measured& target);

}  // namespace clampbook::plan
