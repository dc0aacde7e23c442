#include <clampbook/trace/statistics.h>

#include <algorithm>
#include <cmath>

namespace clampbook::trace {

double quantile(std::span<double> values, double share) {
  if (values.empty()) return 0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

double median(std::span<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

double spread(std::vector<double> values) {
  const double centre = median(values);
  for (double& v : values) v = std::fabs(v - centre);
  return 1.4826 * median(values);
}

LineFits::LineFits(std::span<const CurvePoint> points) {
  sums_.reserve(points.size() + 1);
  sums_.emplace_back();
  if (!points.empty()) origin_ = points[points.size() / 2].degrees;
  Sums sum;
  for (const CurvePoint& p : points) {
    const double x = p.degrees - origin_;
    sum.x += x;
    sum.y += p.newton_metres;
    sum.xx += x * x;
    sum.xy += x * p.newton_metres;
    sums_.push_back(sum);
  }
}

Line LineFits::fit(std::size_t first, std::size_t last) const {
  if (last < first + 1) return {};
  const Sums& a = sums_[first];
  const Sums& b = sums_[last];
  const auto n = static_cast<double>(last - first);
  const double x = (b.x - a.x) / n;
  const double y = (b.y - a.y) / n;
  const double xx = (b.xx - a.xx) / n - x * x;
  const double xy = (b.xy - a.xy) / n - x * y;
  return {xx > 1e-9 ? xy / xx : 0, x + origin_, y};
}

}  // namespace clampbook::trace
