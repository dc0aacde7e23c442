// What each bolt of a pass really holds, as far as its readings tell.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/posterior.h>
#include <clampbook/review/piece.h>
#include <clampbook/schedule/model.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::review {

/// A posterior median and a 90 % interval.
using Interval = joint::Credible;

/// Why nothing is known of most bolts of most passes.
inline constexpr std::string_view kNothingRead = "nothing was read on this bolt";
inline constexpr std::string_view kOnlyTorques =
    "only torques were read: a torque alone identifies neither friction nor clamp load";

struct BoltEstimate {
  std::optional<Interval> preload{};   ///< N
  std::optional<Interval> friction{};  ///< nothing where no reading tells it (joint::BoltPosterior)
  std::optional<double> yielded{};     ///< probability that it is past its yield point
  std::string why_not{};               ///< why something above is missing; empty when nothing is
  bool loosened = false;               ///< since: then all of this tells of the time before
};

/// Bolts that share fastener, group and lubricant, and what their readings say together.
struct GroupEstimate {
  std::vector<std::size_t> bolts{};  ///< positions in the plan's list of bolts
  std::string lubricant{};           ///< as the schedule names it, or "the schedule's friction"
  double friction = 0;               ///< the middle that the schedule says
  double low = 0, high = 0;          ///< its range: 5 % and 95 % points
  std::optional<Interval> ratio{};   ///< of the group's friction over `friction`
  /// Those of `bolts` whose readings fit nothing that the schedule says.
  std::vector<std::size_t> contradict{};
};

struct PassEstimates {
  std::vector<BoltEstimate> bolts{};  ///< by position in the plan's list of bolts
  std::vector<GroupEstimate> groups{};
};

/// What was read on one bolt, as evidence; nothing (and why) where only torques were read.
[[nodiscard]] std::optional<joint::BoltEvidence> evidence_of(const Pass& pass, const Progress& progress,
                                                             const std::string& bolt, std::string& why_not);

/// The pass's schedule, when its text can be read.
[[nodiscard]] std::optional<schedule::Schedule> schedule_of(const Pass& pass);

/// One for each bolt of the plan. `pieces` tells which bolts were past their yield point before.
[[nodiscard]] PassEstimates estimate_pass(const Pass& pass, const Pieces& pieces);

}  // namespace clampbook::review
