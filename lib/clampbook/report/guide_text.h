// What the guide shows at the bench: plain lines, one under the other, for every terminal and screen reader.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/text_style.h>
#include <clampbook/review/finding.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::report {

/// Title, machine, notice, the usual cautions, which bolts the pass is for, what was recorded last and when,
/// and which marks to look at before anything is turned.
[[nodiscard]] std::string guide_start(const review::Pass& pass, record::Timestamp now,
                                      const TextStyle& style);

/// The bolts as they lie, with a sign for what is due, done, outside and missed in the stage of `due`.
[[nodiscard]] std::string guide_picture(const review::Pass& pass,
                                        const std::vector<review::Finding>& findings, const plan::Step& due,
                                        const TextStyle& style);

/// Before the step `due`: which earlier steps are still open, and which faults were kept. Empty when there is
/// nothing.
[[nodiscard]] std::string guide_open_matters(const review::Pass& pass,
                                             const std::vector<review::Finding>& findings,
                                             const plan::Step& due, const TextStyle& style);

/// What has to be right before a stage that turns bolts: the figures, the setting, the display's unit, the
/// direction, the caution before a stage that may yield, and `warnings` about the tool. `display` is the unit
/// that the tool shows; empty: that of the target.
[[nodiscard]] std::string guide_stage(const review::Pass& pass, const plan::Step& due,
                                      const std::optional<plan::StageTool>& tool, std::string_view display,
                                      const std::vector<std::string>& warnings, const TextStyle& style);

/// The due step: what to do, its window, the setting, flats, the final torque that is asked for; for a wait
/// how much of it is left.
[[nodiscard]] std::string guide_step(const review::Pass& pass, const plan::Step& due,
                                     const std::optional<plan::StageTool>& tool, record::Timestamp now,
                                     const TextStyle& style);

/// Five rows of signs for what must be legible from across the bench: digits, capital letters and a few
/// signs; others are left blank. Ends in a line feed.
[[nodiscard]] std::string big_text(std::string_view text, const TextStyle& style);

/// The keys of the guide, one a line.
[[nodiscard]] std::string guide_keys();

}  // namespace clampbook::report
