// In which order a joint's bolts are tightened: from the middle outwards and crosswise, so that the parts
// close evenly. Common practice; there is no standard for it (docs/format.md gives the rule).
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/model.h>
#include <clampbook/units/quantities.h>

#include <cstddef>
#include <vector>

namespace clampbook::plan {

/// A bolt's place on the joint. Any frame will do, as long as y points up in the view.
struct Point {
  units::Length x, y;
};

/// True when the points lie on one circle about their centroid (radii within 3 % of the mean) without a gap
/// of twice the mean angle or more.
[[nodiscard]] bool is_circle(const std::vector<Point>& points);

/// The rule's order as positions in `points`: a permutation of 0 .. n-1. `explicit_list` is not for this
/// function and throws std::logic_error. Time n log n, and n x (bolts of a ring) for centre_out.
[[nodiscard]] std::vector<std::size_t> order_points(schedule::OrderKind kind,
                                                    const std::vector<Point>& points);

/// The bolts of `chosen` (indices in schedule.bolts, in list order) in the order of the rule.
[[nodiscard]] std::vector<std::size_t> order_bolts(const schedule::Schedule& schedule,
                                                   const schedule::OrderRule& rule,
                                                   const std::vector<std::size_t>& chosen);

}  // namespace clampbook::plan
