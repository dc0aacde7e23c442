// What a stage can be, in one table: every fact that depends on nothing but its kind stands here.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/units/unit.h>

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

namespace clampbook::schedule {

enum class StageKind { snug, torque, angle, yield, stretch, loosen, recheck, act, count, measure, wait };

/// What is entered at a step: a quantity that was read on a bolt, or what a gate asks for.
enum class Filling { reading, tick, count, measure };

/// The tolerance that is assumed where none is written: percent of the target, or degrees.
struct AssumedTolerance {
  double percent = 0;
  double percent_small = 0;  ///< at and below 10 N·m; 0: the same
  double degrees = 0;
};

struct StageKindRow {
  StageKind kind;
  std::string_view name;  ///< as in the file and in machine output
  bool gate;
  Filling filling;
  std::optional<units::Dimension> figure;     ///< of its target
  std::optional<units::Dimension> reading;    ///< of what is read on the bolt
  std::optional<units::Dimension> companion;  ///< of what may be read beside it
  bool turns_on;  ///< tightens by something else than a torque: angle, yield, stretch
  AssumedTolerance tolerance;
  /// What to do at it, with `{bolt}` and `{figure}`; of a gate what stands before its text.
  std::string_view sentence;
  /// The word in place of a figure, "by hand"; empty where there always is one.
  std::string_view without_figure;
  /// The same as a sentence of the checklist; empty where there always is a figure.
  std::string_view sentence_without_figure;
  std::string_view sheet_heading;  ///< of the printed sheet
  std::string_view sheet_blank;    ///< what the sheet asks to be written beside a gate; empty: the box alone
};

namespace detail {
inline constexpr auto kTorque = units::Dimension::torque;
inline constexpr auto kAngle = units::Dimension::angle;
inline constexpr auto kLength = units::Dimension::length;
}  // namespace detail

inline constexpr std::array kStageKinds{
    StageKindRow{.kind = StageKind::snug,
                 .name = "snug",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = detail::kTorque,
                 .reading = detail::kTorque,
                 .companion = detail::kAngle,
                 .turns_on = false,
                 .tolerance = {.percent = 10},
                 .sentence = "snug bolt {bolt} to {figure}",
                 .without_figure = "by hand",
                 .sentence_without_figure = "snug bolt {bolt} by hand",
                 .sheet_heading = "snug",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::torque,
                 .name = "torque",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = detail::kTorque,
                 .reading = detail::kTorque,
                 .companion = detail::kAngle,
                 .turns_on = false,
                 .tolerance = {.percent = 4, .percent_small = 6},
                 .sentence = "tighten bolt {bolt} to {figure}",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "tighten to a torque",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::angle,
                 .name = "angle",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = detail::kAngle,
                 .reading = detail::kAngle,
                 .companion = detail::kTorque,
                 .turns_on = true,
                 .tolerance = {.degrees = 5},
                 .sentence = "turn bolt {bolt} by {figure}",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "turn by an angle",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::yield,
                 .name = "yield",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = std::nullopt,  // a share, which no tool shows
                 .reading = detail::kTorque,
                 .companion = detail::kAngle,
                 .turns_on = true,
                 .tolerance = {},
                 .sentence = "tighten bolt {bolt} until its torque rises at {figure} of its steepest",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "tighten to the yield point",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::stretch,
                 .name = "stretch",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = detail::kLength,
                 .reading = detail::kLength,
                 .companion = detail::kTorque,
                 .turns_on = true,
                 .tolerance = {.percent = 5},
                 .sentence = "stretch bolt {bolt} by {figure}",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "stretch",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::loosen,
                 .name = "loosen",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = detail::kAngle,
                 .reading = detail::kTorque,  // the breakaway torque, if somebody reads it
                 .companion = detail::kAngle,
                 .turns_on = false,
                 .tolerance = {.degrees = 5},
                 .sentence = "loosen bolt {bolt} by {figure}",
                 .without_figure = "fully",
                 .sentence_without_figure = "loosen bolt {bolt} fully",
                 .sheet_heading = "loosen",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::recheck,
                 .name = "recheck",
                 .gate = false,
                 .filling = Filling::reading,
                 .figure = detail::kTorque,
                 .reading = detail::kTorque,
                 .companion = detail::kAngle,
                 .turns_on = false,
                 .tolerance = {.percent = 4, .percent_small = 6},
                 .sentence = "recheck bolt {bolt} at {figure}",
                 .without_figure = "at the same torque",
                 .sentence_without_figure = "",
                 .sheet_heading = "check again",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::act,
                 .name = "do",
                 .gate = true,
                 .filling = Filling::tick,
                 .figure = std::nullopt,
                 .reading = std::nullopt,
                 .companion = std::nullopt,
                 .turns_on = false,
                 .tolerance = {},
                 .sentence = "",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "do",
                 .sheet_blank = ""},
    StageKindRow{.kind = StageKind::count,
                 .name = "count",
                 .gate = true,
                 .filling = Filling::count,
                 .figure = std::nullopt,
                 .reading = std::nullopt,
                 .companion = std::nullopt,
                 .turns_on = false,
                 .tolerance = {},
                 .sentence = "count: ",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "count",
                 .sheet_blank = "counted"},
    StageKindRow{.kind = StageKind::measure,
                 .name = "measure",
                 .gate = true,
                 .filling = Filling::measure,
                 .figure = std::nullopt,
                 .reading = std::nullopt,
                 .companion = std::nullopt,
                 .turns_on = false,
                 .tolerance = {},
                 .sentence = "measure: ",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "measure",
                 .sheet_blank = "measured"},
    StageKindRow{.kind = StageKind::wait,
                 .name = "wait",
                 .gate = true,
                 .filling = Filling::tick,
                 .figure = std::nullopt,
                 .reading = std::nullopt,
                 .companion = std::nullopt,
                 .turns_on = false,
                 .tolerance = {},
                 .sentence = "wait ",
                 .without_figure = "",
                 .sentence_without_figure = "",
                 .sheet_heading = "wait",
                 .sheet_blank = "from … to …"},
};

[[nodiscard]] constexpr const StageKindRow& row(StageKind kind) {
  return kStageKinds[static_cast<std::size_t>(kind)];
}
/// "snug", "torque", ... "do", "count", "measure", "wait".
[[nodiscard]] constexpr std::string_view name(StageKind kind) {
  return row(kind).name;
}
[[nodiscard]] constexpr bool is_gate(StageKind kind) {
  return row(kind).gate;
}
/// The kind of that name, or nothing.
[[nodiscard]] constexpr std::optional<StageKind> stage_kind(std::string_view name) {
  for (const StageKindRow& row : kStageKinds)
    if (row.name == name) return row.kind;
  return std::nullopt;
}

namespace detail {
consteval bool rows_in_order() {
  for (std::size_t i = 0; i < kStageKinds.size(); ++i)
    if (kStageKinds[i].kind != static_cast<StageKind>(i)) return false;
  return kStageKinds.size() == static_cast<std::size_t>(StageKind::wait) + 1;
}
}  // namespace detail
static_assert(detail::rows_in_order(), "one row for each kind, in the order of the kinds");

}  // namespace clampbook::schedule
