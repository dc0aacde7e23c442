// From a schedule to what is worked by: steps with their windows and settings, what the stages do to the
// bolts, and what there is to be careful about. The one way there.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/plan/tools.h>

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace clampbook::plan {

/// Values: nothing here refers to the schedule or to the tool list.
struct Prepared {
  std::shared_ptr<const Plan> plan;               ///< with its cautions
  std::vector<FastenerPrediction> predictions{};  ///< of all bolts of the schedule
  PredictionOptions options{};                    ///< what they were computed with
  std::vector<ToolChoice> tools{};                ///< of the whole schedule; empty without a list
};

/// Plans `only` (indices in schedule.bolts; empty means all), with the tools of a list or (null) without. The
/// tools are those of the whole schedule, so that a stage has one tool whoever is tightened first; settings
/// and cautions are those of the bolts that have steps in this plan.
/// in      samples  of the scatter, > 0
/// throws  InputError (out-of-domain) as bolt_model does
[[nodiscard]] Prepared prepare(const schedule::Schedule& schedule, std::span<const std::size_t> only = {},
                               const schedule::ToolList* tools = nullptr,
                               std::size_t samples = joint::kPredictionSamples);

/// The same of a schedule that a book keeps. It was fit to be worked by once: where the physics refuses its
/// figures now, there are no predictions, the cautions are those that the file alone shows, and every step
/// from the first angle, stretch or yield on counts as one at which the bolt may yield.
[[nodiscard]] Prepared prepare_kept(const schedule::Schedule& schedule, std::span<const std::size_t> only,
                                    const schedule::ToolList* tools);

/// How many steps that plan has, without working out the rest of it.
[[nodiscard]] std::size_t count_steps(const schedule::Schedule& schedule, std::span<const std::size_t> only);

}  // namespace clampbook::plan
