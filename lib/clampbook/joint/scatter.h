// How far preloads scatter: samples that fill every stratum of every input, and the first-order formula to
// set beside them below the knee.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/random.h>
#include <clampbook/joint/torque.h>

#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <vector>

namespace clampbook::joint {

/// How many points predictions use.
inline constexpr std::size_t kPredictionSamples = 4096;

/// `points` samples of `dimensions` independent inputs; in each dimension every one of `points` equal strata
/// holds exactly one sample.
class LatinHypercube {
 public:
  /// in      points 1 .. 10 000 000, dimensions 1 .. 1000, together at most 1e8
  /// throws  DomainError
  LatinHypercube(std::size_t points, std::size_t dimensions, std::uint64_t seed);

  [[nodiscard]] std::size_t points() const { return points_; }
  [[nodiscard]] std::size_t dimensions() const { return dimensions_; }
  /// Strictly between 0 and 1.
  [[nodiscard]] double uniform(std::size_t point, std::size_t dimension) const {
    return values_[point * dimensions_ + dimension];
  }
  /// Standard normal.
  [[nodiscard]] double normal(std::size_t point, std::size_t dimension) const {
    return normal_quantile(uniform(point, dimension));
  }

 private:
  std::size_t points_;
  std::size_t dimensions_;
  std::vector<double> values_;
};

/// A standard deviation in two parts: what all bolts of a joint share (calibration, a lubricant's batch),
/// which does not average out over them, and what each has of its own.
struct Spread {
  double common = 0;
  double own = 0;
  [[nodiscard]] double total() const;  ///< root of the sum of squares
};

/// The standard deviation of an error that lies anywhere within +-limit: limit/sqrt(3).
/// in      limit  not below zero
[[nodiscard]] double accuracy_limit_deviation(double limit);

/// A quantity that is above zero and scatters by a factor.
class Lognormal {
 public:
  /// in      low, high  the 5 % and 95 % points, 0 < low <= high
  [[nodiscard]] static Lognormal from_range(double low, double high);
  /// in      median  above zero;  variation  coefficient of variation, 0 .. 2
  [[nodiscard]] static Lognormal about(double median, double variation);
  [[nodiscard]] double median() const { return median_; }
  /// Standard deviation of the logarithm.
  [[nodiscard]] double sigma() const { return sigma_; }
  /// The value at a standard normal deviate.
  [[nodiscard]] double at(double deviate) const;

 private:
  Lognormal(double median, double sigma) : median_(median), sigma_(sigma) {}
  double median_;
  double sigma_;
};

/// A standard normal deviate that has `correlation` with `first`, made from an independent `second`.
/// in      correlation  -1 .. 1
[[nodiscard]] double correlated(double first, double second, double correlation);

/// Linear between the order statistics (the smallest value at 0, the largest at 1).
/// in      values  finite, not empty, in any order;  share  0 .. 1
/// throws  DomainError
[[nodiscard]] double quantile(std::vector<double> values, double share);

/// 5 % and 95 % points.
struct Band {
  double p5;
  double p95;
};
[[nodiscard]] Band band(std::vector<double> values);

/// Several points at once.
/// in      values  as for quantile; an empty list has no points and gives none
///         shares  0 .. 1 each
/// out     one value for each share, in their order
[[nodiscard]] std::vector<double> quantiles(std::vector<double> values, std::initializer_list<double> shares);

// First order, valid below the knee only.

/// Coefficient of variation of the whole lever from that of friction.
///
///   cov_k^2 = cov_mu^2 (a_G^2 + a_B^2 + 2 rho a_G a_B)        a: the friction shares of the torque
///
/// source  docs/physics.md equation 11.1
[[nodiscard]] double lever_variation(const TorqueSplit& split, double friction_variation, double correlation);

/// Of the preload after a torque: root of cov_k^2 + wrench^2.
[[nodiscard]] double torque_variation(double lever_variation, double wrench);

/// Of the preload after a torque and an elastic angle.
struct AngleVariation {
  double torque_share;  ///< a = F_snug/F, 0 .. 1
  double lever;         ///< cov_k
  double wrench;
  double snug;   ///< of the force at snug
  double angle;  ///< standard deviation over the angle
  double stiffness;
};
/// source  docs/physics.md equation 11.2
[[nodiscard]] double angle_variation(const AngleVariation& inputs);

}  // namespace clampbook::joint
