// The bolts of a joint as they lie, drawn with lines: for the sheet each with its turn, for the record each
// with its state as a shape.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/svg.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::report {

/// How far a bolt has come, in the order in which it matters.
enum class BoltMark {
  in_window,  ///< every step has its reading, nothing is open
  accepted,   ///< the same, but somebody accepted a finding
  warning,
  open,  ///< a step has no reading
  fault,
};
/// "in window", "accepted", "warning", "open", "fault".
[[nodiscard]] std::string_view name(BoltMark mark);

/// The shape of a mark around (x, y): tick, diamond, triangle, ring, square with a cross.
void draw_mark(Svg& svg, BoltMark mark, double x, double y, double radius);

/// All marks once, out of sight, for a page that shows them in its lines with mark_in_text().
[[nodiscard]] std::string mark_symbols();
/// The shape; the word has to stand beside it.
[[nodiscard]] std::string mark_in_text(BoltMark mark);

/// A drawing with its size in its own units.
struct Drawing {
  std::string svg;
  double width = 0, height = 0;
};

/// `marks`: one for each bolt of the plan, or none at all; then the turn stands in its place. Beyond
/// `kMostNamed` bolts they are drawn without words.
[[nodiscard]] Drawing bolt_drawing(const plan::Plan& plan, const std::vector<BoltMark>& marks,
                                   Setting setting);
inline constexpr std::size_t kMostNamed = 150;

}  // namespace clampbook::report
