#include <clampbook/joint/scatter.h>

#include <clampbook/joint/domain.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

namespace clampbook::joint {

namespace {

// The 95 % point of the standard normal distribution.
constexpr double kNormal95 = 1.6448536269514722;

// Leaves the values in another order. A few points of many values take a fraction of what sorting takes.
double point_of(std::vector<double>& values, double share) {
  const double place = share * static_cast<double>(values.size() - 1);
  const auto below = values.begin() + static_cast<std::ptrdiff_t>(place);
  std::nth_element(values.begin(), below, values.end());
  if (below + 1 == values.end()) return *below;
  const double above = *std::min_element(below + 1, values.end());
  return *below + (place - std::floor(place)) * (above - *below);
}

void require_finite(const std::vector<double>& values) {
  if (values.empty()) throw DomainError("number of values", 0, "at least 1");
  for (const double v : values) {
    if (!std::isfinite(v)) throw DomainError("value", v, "finite");
  }
}

double square(double x) {
  return x * x;
}

}  // namespace

LatinHypercube::LatinHypercube(std::size_t points, std::size_t dimensions, std::uint64_t seed)
    : points_(points), dimensions_(dimensions) {
  require_between(static_cast<double>(points), 1, 1e7, "points");
  require_between(static_cast<double>(dimensions), 1, 1000, "dimensions");
  require_between(static_cast<double>(points) * static_cast<double>(dimensions), 1, 1e8,
                  "points times dimensions");
  values_.resize(points * dimensions);
  RandomSequence random(seed);
  std::vector<std::size_t> strata(points);
  for (std::size_t dimension = 0; dimension < dimensions; ++dimension) {
    std::iota(strata.begin(), strata.end(), std::size_t{0});
    for (std::size_t i = points; i > 1; --i) {
      std::swap(strata[i - 1], strata[static_cast<std::size_t>(random.below(i))]);
    }
    for (std::size_t point = 0; point < points; ++point) {
      values_[point * dimensions + dimension] =
          (static_cast<double>(strata[point]) + random.uniform()) / static_cast<double>(points);
    }
  }
}

double Spread::total() const {
  return std::sqrt(common * common + own * own);
}

double accuracy_limit_deviation(double limit) {
  require_between(limit, 0, kLargest, "accuracy limit");
  return limit / std::sqrt(3.0);
}

Lognormal Lognormal::from_range(double low, double high) {
  require_between(low, kSmallest, kLargest, "5 % point");
  require_between(high, low, kLargest, "95 % point");
  return {std::sqrt(low * high), std::log(high / low) / (2 * kNormal95)};
}

Lognormal Lognormal::about(double median, double variation) {
  require_between(median, kSmallest, kLargest, "median");
  require_between(variation, 0, 2, "coefficient of variation");
  return {median, std::sqrt(std::log1p(variation * variation))};
}

double Lognormal::at(double deviate) const {
  require_between(deviate, -40, 40, "normal deviate");
  return median_ * std::exp(sigma_ * deviate);
}

double correlated(double first, double second, double correlation) {
  require_between(correlation, -1, 1, "correlation");
  return correlation * first + std::sqrt(1 - correlation * correlation) * second;
}

double quantile(std::vector<double> values, double share) {
  require_between(share, 0, 1, "share");
  require_finite(values);
  return point_of(values, share);
}

Band band(std::vector<double> values) {
  require_finite(values);
  return {point_of(values, 0.05), point_of(values, 0.95)};
}

std::vector<double> quantiles(std::vector<double> values, std::initializer_list<double> shares) {
  std::vector<double> out;
  if (values.empty()) return out;
  require_finite(values);
  for (const double share : shares) {
    require_between(share, 0, 1, "share");
    out.push_back(point_of(values, share));
  }
  return out;
}

double lever_variation(const TorqueSplit& split, double friction_variation, double correlation) {
  require_between(friction_variation, 0, 2, "coefficient of variation");
  require_between(correlation, -1, 1, "correlation");
  const double squares =
      square(split.thread) + square(split.seat) + 2 * correlation * split.thread * split.seat;
  return friction_variation * std::sqrt(std::max(squares, 0.0));
}

double torque_variation(double lever_variation, double wrench) {
  require_between(lever_variation, 0, 2, "variation of the lever");
  require_between(wrench, 0, 2, "variation of the wrench");
  return std::sqrt(square(lever_variation) + square(wrench));
}

double angle_variation(const AngleVariation& inputs) {
  const double a = require_between(inputs.torque_share, 0, 1, "share of the torque");
  for (const double v : {inputs.lever, inputs.wrench, inputs.snug, inputs.angle, inputs.stiffness}) {
    require_between(v, 0, 2, "coefficient of variation");
  }
  return std::sqrt(square(a) * (square(inputs.lever) + square(inputs.wrench) + square(inputs.snug)) +
                   square((1 - a) * inputs.angle) + square((1 - a) * inputs.stiffness));
}

}  // namespace clampbook::joint
