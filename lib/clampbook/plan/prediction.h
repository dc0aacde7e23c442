// What each stage of a schedule does to its bolts: clamp load, torque, yield and growth, each with the
// interval that friction, wrench, angle, strength and stiffness leave open.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/bolt_model.h>
#include <clampbook/plan/plan.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::plan {

/// The figure at nominal friction, the target as written and the least strength; and the 5 % and 95 % points
/// of the samples.
template <class Quantity>
struct Estimate {
  Quantity nominal;
  Quantity p5;
  Quantity p95;
};

enum class Yields { never, possible, certain };
[[nodiscard]] std::string_view name(Yields yields);

struct StagePrediction {
  int stage = 0;
  StageKind kind = StageKind::torque;
  std::string text{};                               ///< "torque 30 N·m"
  std::optional<Estimate<joint::Force>> preload{};  ///< none past the breaking load, or unknown
  std::optional<Estimate<joint::Torque>> torque{};
  std::optional<double> utilisation{};  ///< von Mises over yield, at most 1
  std::optional<Yields> yields{};
  double yield_share = 0;                                        ///< of the samples
  double broken_share = 0;                                       ///< of the samples
  std::optional<joint::Length> growth{};                         ///< lasting, of all stages so far
  std::optional<double> growth_share{};                          ///< over what the section takes before Rm
  std::optional<Estimate<joint::Torque>> same_preload_torque{};  ///< when the lubricants differ
  std::optional<Estimate<joint::Force>> stated_preload{};        ///< what the figure was meant to give
  std::optional<schedule::Window> final_torque{};
  Forecast forecast{};
};

/// Where the scatter of the final preload comes from.
struct Contribution {
  std::string source;
  double share;  ///< of its variance, 0 .. 1
};

struct FastenerPrediction {
  std::string name{};                ///< of the fastener, or NAME/GROUP
  std::size_t fastener = 0;          ///< index in Schedule::fasteners
  std::vector<std::string> bolts{};  ///< ids
  std::optional<joint::Force> yield_preload{}, proof_load{}, breaking_load{};
  std::optional<Estimate<joint::Angle>> elastic_limit_angle{};
  std::optional<joint::Stiffness> bolt_stiffness{}, joint_stiffness{};
  std::optional<double> nut_factor{};
  std::optional<Estimate<joint::Force>> settled_preload{};
  std::vector<StagePrediction> stages{};
  std::vector<Contribution> contributions{};
  std::vector<std::string> missing{};  ///< keys that would let more be computed
  bool nut_factor_only = false;
};

/// The limits of error that a reading has, as shares or amounts; each counts as limit/sqrt(3).
struct Accuracies {
  /// By stage number: the wrench's limit of error as a share; stages without one count ISO 6789's (6 % up to
  /// 10 N·m, else 4 %).
  std::vector<std::pair<int, double>> torque{};
  /// Of what measures the angles and the stretch; without one the stage's window counts.
  std::optional<joint::Angle> angle{};
  std::optional<joint::Length> stretch{};
};

struct PredictionOptions {
  std::size_t samples = joint::kPredictionSamples;
  Accuracies accuracies{};
};

/// One for each fastener; one for each of its groups when their stages differ.
/// Throws InputError (out-of-domain) as bolt_model does.
[[nodiscard]] std::vector<FastenerPrediction> predict(const schedule::Schedule& schedule,
                                                      const PredictionOptions& options = {});

/// Writes into each step of a bolt what the prediction says of it, and whether the bolt may be past its yield
/// point there, so that a record knows it without the physics.
void mark_yielding_steps(Plan& plan, const std::vector<FastenerPrediction>& predictions);

}  // namespace clampbook::plan
