// One reading against its step; only this room includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/finding.h>

#include <optional>
#include <string>

namespace clampbook::review {

/// "stage 4 (torque 30 N·m), bolt 3" or "stage 2 (count: dowels)", for messages.
[[nodiscard]] std::string place_of(const Pass& pass, const Step& step);

/// A finding about a step, with its place filled in.
[[nodiscard]] Finding about(std::string slug, const Pass& pass, const Step& step, const Entry* entry,
                            std::string text, std::string remedy);

/// What the value, the companion and the movement of a standing entry say: low, high, unit-slip,
/// final-torque-out, no-movement, still-moving, count-short, measure-out.
void judge_entry(const Progress& progress, const Step& step, const Entry& entry, std::vector<Finding>& out);

/// A reading that another one replaced still turned the bolt: only `high` is judged.
void judge_replaced(const Progress& progress, const Step& step, const Entry& entry,
                    std::vector<Finding>& out);

/// What to do, by the kind of stage; `entry` is the one that it is about, if there is one, and `later` the
/// last stage that the bolt has been through behind it. Never "back off to the number".
[[nodiscard]] std::string remedy_for(std::string_view slug, const Step& step, const Entry* entry = nullptr,
                                     std::optional<plan::StageKind> later = std::nullopt);

}  // namespace clampbook::review
