// Medians and lines: what a curve with outliers is judged by.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/trace/curve.h>

#include <cstddef>
#include <span>
#include <vector>

namespace clampbook::trace {

/// The order statistic nearest below `share` of the way from the smallest to the largest; reorders `values`.
/// 0 of none.
[[nodiscard]] double quantile(std::span<double> values, double share);
[[nodiscard]] double median(std::span<double> values);
/// Median distance from the median, times 1.4826: the standard deviation of a normal scatter.
[[nodiscard]] double spread(std::vector<double> values);

/// Torque over angle, through the middle of its points so that nothing cancels.
struct Line {
  double slope = 0;  ///< N·m per degree
  double degrees = 0, newton_metres = 0;
  [[nodiscard]] double torque_at(double angle) const { return newton_metres + slope * (angle - degrees); }
  [[nodiscard]] double angle_at(double torque) const { return degrees + (torque - newton_metres) / slope; }
};

/// Least squares over any stretch of some points, each in constant time.
class LineFits {
 public:
  explicit LineFits(std::span<const CurvePoint> points);
  /// Points first .. last - 1; slope 0 when they are fewer than two or at one angle.
  [[nodiscard]] Line fit(std::size_t first, std::size_t last) const;

 private:
  struct Sums {
    double x = 0, y = 0, xx = 0, xy = 0;
  };
  double origin_ = 0;
  std::vector<Sums> sums_;
};

}  // namespace clampbook::trace
