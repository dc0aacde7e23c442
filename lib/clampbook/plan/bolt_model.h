// What a schedule says of a fastener, in the terms of the physics; and what it does not say.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/bolt.h>
#include <clampbook/joint/friction.h>
#include <clampbook/joint/scatter.h>
#include <clampbook/joint/strength.h>
#include <clampbook/joint/thread_name.h>
#include <clampbook/schedule/model.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::plan {

/// Both frictions, or a nut factor alone, each with its scatter and the figure to compute with.
struct FrictionModel {
  std::optional<joint::Lognormal> thread{}, seat{};
  double nominal_thread = 0, nominal_seat = 0;
  std::optional<joint::Lognormal> nut_factor{};
  double nominal_nut_factor = 0;
};

struct BoltModel {
  explicit BoltModel(joint::NamedThread named) : thread(std::move(named)) {}

  joint::NamedThread thread;
  std::optional<joint::Strength> strength{};
  std::optional<joint::Length> hole{}, seat_outer{};
  std::optional<FrictionModel> used{}, stated{};  ///< what is on the bolts; what the figures assume
  std::optional<joint::BoltGeometry> geometry{};
  std::optional<joint::ClampedParts> parts{};  ///< together with `geometry`, or not at all
  std::vector<std::string> missing{};          ///< keys that would let more be computed
  bool lubricants_differ = false;

  /// Where the turned part rubs: nothing without a seat.
  [[nodiscard]] std::optional<joint::Length> mean_seat_diameter() const;
  /// Nothing without a seat or without friction figures (a nut factor has none).
  [[nodiscard]] std::optional<joint::Contact> contact(const FrictionModel& friction) const;
};

/// Throws InputError (out-of-domain) with the fastener's place when its figures contradict each other in a
/// way that the reader could not see.
[[nodiscard]] BoltModel bolt_model(const schedule::Schedule& schedule, const schedule::Fastener& fastener);

/// True when two lubricants give other figures, or are other names.
[[nodiscard]] bool lubricants_differ(const schedule::Lubricant& a, const schedule::Lubricant& b);

}  // namespace clampbook::plan
