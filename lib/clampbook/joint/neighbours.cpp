#include <clampbook/joint/neighbours.h>

#include <clampbook/joint/domain.h>

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace clampbook::joint {

namespace {

// D of the plate and k_f of the bed, in SI units.
struct Plate {
  double bending;
  double bed;
};

Plate plate_of(const Cover& cover) {
  require_positive(cover.thickness, "cover thickness");
  require_positive(cover.modulus, "cover modulus");
  require_between(cover.poisson, 0, 0.5, "Poisson's ratio");
  require_positive(cover.below, "thickness below");
  require_positive(cover.below_modulus, "modulus below");
  require_not_negative(cover.gasket, "gasket thickness");
  const double t = units::si_number(cover.thickness);
  const double e = units::si_number(cover.modulus);
  const double below = std::min(units::si_number(cover.below), 2 * t);
  double give = below / units::si_number(cover.below_modulus) + t / (2 * e);
  if (units::si_number(cover.gasket) > 0) {
    give += units::si_number(cover.gasket) /
            units::si_number(require_positive(cover.gasket_modulus, "gasket modulus"));
  }
  return {e * t * t * t / (12 * (1 - cover.poisson * cover.poisson)), 1 / give};
}

double influence_length_of(const Plate& plate) {
  return std::sqrt(std::sqrt(plate.bending / plate.bed));
}

}  // namespace

double minus_kei(double x) {
  require_between(x, 0, kLargest, "argument of kei");
  // The integral of exp(-a cosh t) sin(a cosh t) over t >= 0, a = x/sqrt(2) (K0 along the diagonal). The
  // integrand is analytic in a strip and dies double-exponentially: the trapezoid rule converges like
  // exp(-4.9/h).
  const double a = x / std::sqrt(2.0);
  if (a < 1e-9) return kPi / 4;
  constexpr double kStep = 1.0 / 8;
  double sum = 0;
  for (int i = 0; i < 1000; ++i) {
    const double reach = a * std::cosh(i * kStep);
    if (reach > 50) break;
    sum += (i == 0 ? 0.5 : 1.0) * std::exp(-reach) * std::sin(reach);
  }
  return sum * kStep;
}

Length influence_length(const Cover& cover) {
  return units::of(influence_length_of(plate_of(cover)), units::metre);
}

struct NeighbourJoint::Solver {
  Eigen::MatrixXd compliance;  // M: diagonal springs and the plate's influence
  Eigen::MatrixXd stiffness;   // its inverse
  Eigen::VectorXd travel;      // u, of the nuts
  Eigen::VectorXd force;       // F

  // Forces of all bolts when `fixed` bears `target` and the other nuts stand where they are. Loose bolts make
  // it a complementarity problem; the matrix is symmetric and positive definite, and few bolts change sides.
  // Throws std::runtime_error when they do not come to rest.
  void solve(Eigen::Index fixed, double target);

 private:
  // The bolts that are taken as tight and would push, else those that are taken as loose and would touch.
  [[nodiscard]] std::vector<Eigen::Index> wrong_side(Eigen::Index fixed, const std::vector<bool>& loose,
                                                     bool both) const;
  void hold(Eigen::Index fixed, double target, const std::vector<bool>& loose);
};

void NeighbourJoint::Solver::hold(Eigen::Index fixed, double target, const std::vector<bool>& loose) {
  std::vector<Eigen::Index> tight;
  for (Eigen::Index j = 0; j < force.size(); ++j)
    if (j != fixed && !loose[static_cast<std::size_t>(j)]) tight.push_back(j);
  const auto m = static_cast<Eigen::Index>(tight.size());
  Eigen::MatrixXd part(m, m);
  Eigen::VectorXd right(m);
  for (Eigen::Index r = 0; r < m; ++r) {
    const Eigen::Index row = tight[static_cast<std::size_t>(r)];
    right(r) = travel(row) - compliance(row, fixed) * target;
    for (Eigen::Index c = 0; c < m; ++c) part(r, c) = compliance(row, tight[static_cast<std::size_t>(c)]);
  }
  force.setZero();
  force(fixed) = target;
  if (m == 0) return;
  const Eigen::VectorXd found = part.llt().solve(right);
  for (Eigen::Index r = 0; r < m; ++r) force(tight[static_cast<std::size_t>(r)]) = found(r);
}

std::vector<Eigen::Index> NeighbourJoint::Solver::wrong_side(Eigen::Index fixed,
                                                             const std::vector<bool>& loose,
                                                             bool both) const {
  std::vector<Eigen::Index> out;
  for (Eigen::Index j = 0; j < force.size(); ++j)
    if (j != fixed && force(j) < 0) out.push_back(j);
  if (!out.empty() && !both) return out;
  const Eigen::VectorXd gap = compliance * force - travel;
  for (Eigen::Index j = 0; j < force.size(); ++j)
    if (j != fixed && loose[static_cast<std::size_t>(j)] && gap(j) < -1e-12 * (1e-6 + std::abs(travel(j))))
      out.push_back(j);
  return out;
}

void NeighbourJoint::Solver::solve(Eigen::Index fixed, double target) {
  const Eigen::Index n = force.size();
  std::vector<bool> loose(static_cast<std::size_t>(n));
  for (Eigen::Index j = 0; j < n; ++j) loose[static_cast<std::size_t>(j)] = !(force(j) > 0);
  for (Eigen::Index round = 0;; ++round) {
    // All at once is quick, and may go round in circles; the least one at a time comes to an end with such a
    // matrix (Murty's rule), and may take long.
    const bool one_by_one = round > n;
    if (round > 100 * (n + 1)) throw std::runtime_error("the bolts do not come to rest");
    hold(fixed, target, loose);
    std::vector<Eigen::Index> wrong = wrong_side(fixed, loose, one_by_one);
    if (wrong.empty()) break;
    if (one_by_one) wrong = {*std::min_element(wrong.begin(), wrong.end())};
    for (const Eigen::Index j : wrong)
      loose[static_cast<std::size_t>(j)] = !loose[static_cast<std::size_t>(j)];
  }
  travel(fixed) = compliance.row(fixed).dot(force);
}

NeighbourJoint::NeighbourJoint(const std::vector<Place>& places, Resilience springs, const Cover& cover)
    : solver_(std::make_unique<Solver>()) {
  require_between(static_cast<double>(places.size()), 1, 500, "number of bolts");
  require_positive(springs, "resilience");
  const Plate plate = plate_of(cover);
  const double length = influence_length_of(plate);
  const auto n = static_cast<Eigen::Index>(places.size());
  Solver& s = *solver_;
  s.compliance.resize(n, n);
  for (Eigen::Index j = 0; j < n; ++j) {
    const Place& a = places[static_cast<std::size_t>(j)];
    require_finite(a.x, "place of a bolt");
    require_finite(a.y, "place of a bolt");
    for (Eigen::Index k = 0; k <= j; ++k) {
      const Place& b = places[static_cast<std::size_t>(k)];
      const double r = std::hypot(units::si_number(a.x) - units::si_number(b.x),
                                  units::si_number(a.y) - units::si_number(b.y));
      if (k != j && !(r > 1e-6)) throw DomainError("distance of two bolts", r, "above 1 micrometre");
      const double dip = length * length / (2 * kPi * plate.bending) * minus_kei(r / length);
      s.compliance(j, k) = s.compliance(k, j) = dip;
    }
    s.compliance(j, j) += units::si_number(springs);
  }
  s.stiffness = s.compliance.llt().solve(Eigen::MatrixXd::Identity(n, n));
  s.travel = Eigen::VectorXd::Zero(n);
  s.force = Eigen::VectorXd::Zero(n);
}

NeighbourJoint::NeighbourJoint(NeighbourJoint&&) noexcept = default;
NeighbourJoint& NeighbourJoint::operator=(NeighbourJoint&&) noexcept = default;
NeighbourJoint::~NeighbourJoint() = default;

void NeighbourJoint::tighten(std::size_t i, Force target) {
  if (i >= size()) throw DomainError("bolt", static_cast<double>(i), "one of the bolts of the joint");
  const double wanted = units::si_number(require_not_negative(target, "target"));
  Solver& s = *solver_;
  const auto bolt = static_cast<Eigen::Index>(i);
  if (s.force(bolt) >= wanted) return;
  // Once all bolts bear, one column of the inverse is the answer, unless it would loosen one.
  const double step = (wanted - s.force(bolt)) / s.stiffness(bolt, bolt);
  Eigen::VectorXd next = s.force + step * s.stiffness.col(bolt);
  next(bolt) = wanted;
  if ((s.force.array() > 0).all() && (next.array() > 0).all()) {
    s.force = next;
    s.travel(bolt) += step;
    return;
  }
  s.solve(bolt, wanted);
}

std::size_t NeighbourJoint::size() const {
  return static_cast<std::size_t>(solver_->force.size());
}

Force NeighbourJoint::preload(std::size_t i) const {
  if (i >= size()) throw DomainError("bolt", static_cast<double>(i), "one of the bolts of the joint");
  return units::of(solver_->force(static_cast<Eigen::Index>(i)), units::newton);
}

std::vector<Force> NeighbourJoint::preloads() const {
  std::vector<Force> out;
  for (std::size_t i = 0; i < size(); ++i) out.push_back(preload(i));
  return out;
}

}  // namespace clampbook::joint
