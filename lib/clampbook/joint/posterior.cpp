#include <clampbook/joint/posterior.h>

#include <clampbook/joint/domain.h>
#include <clampbook/joint/torque.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace clampbook::joint {

namespace {

constexpr std::size_t kFrictions = 61, kStiffnesses = 11, kStrengths = 11;
constexpr double kFrictionReach = 3, kReach = 2.6;  // of the grid, in standard deviations
constexpr double kStiffness = 0.055;                // of true over computed stiffness
constexpr double kExcess = 1.05, kStrength = 0.04;  // of a lot's strength over the class's least
constexpr double kMeasuredStrength = 0.03;
// Standard deviations: of a loosening torque as a share; of the angle turned on the way to T1, a share of it
// and so many degrees.
constexpr double kLoosening = 0.04, kBeforeShare = 0.04;
constexpr double kBefore = 2;
constexpr double kFivePercent = 1.645;  // standard normal deviate of a 5 % point
// 99 % points of chi-square for 1, 2, 3 and 4 degrees of freedom (tables).
constexpr std::array<double, 5> kMostMisfit{0, 6.635, 9.210, 11.345, 13.277};
constexpr std::size_t kTogether = 64;  // bolts that learn from each other

// How much the friction of single bolts of one batch may differ, as standard deviations of the logarithm,
// and how likely each is before anything was read.
constexpr std::array<double, 4> kOwn{0.04, 0.08, 0.16, 0.28};
constexpr std::array<double, 4> kOwnWeight{0.25, 0.35, 0.25, 0.15};
constexpr std::size_t kBatches = 37;
constexpr double kBatchReach = 4.5;  // farther than likely: a group may be far off

// Of the joint and the lot, which all bolts share: stiffness and strength together.
constexpr std::size_t kCommon = kStiffnesses * kStrengths;
constexpr std::size_t kCells = kFrictions * kCommon;

double square(double x) {
  return x * x;
}

double si(const auto& quantity) {
  return units::si_number(quantity);
}

// Points at even distances over +-reach deviations, with the weights of a normal distribution.
template <std::size_t N>
struct Normal {
  std::array<double, N> at{}, weight{};

  Normal(double mean, double deviation, double reach) {
    double sum = 0;
    for (std::size_t i = 0; i < N; ++i) {
      const double z = reach * (2 * static_cast<double>(i) / (N - 1) - 1);
      at[i] = mean + deviation * z;
      weight[i] = std::exp(-z * z / 2);
      sum += weight[i];
    }
    for (double& w : weight) w /= sum;
  }
};

// What one cell of the grid makes of a bolt's readings.
struct Cell {
  double likelihood = 0;
  double preload = 0;   // N, moved by the share of the misfit that is not the final torque's
  double variance = 0;  // of it, within the cell
  bool yielded = false;
};

struct BoltCells {
  std::vector<Cell> cells{};
  double misfit = std::numeric_limits<double>::infinity();  // of the best
};

// A friction has to be read off something: these are the terms that know it.
std::size_t terms_of(const BoltEvidence& e) {
  return std::size_t{e.final.has_value()} + std::size_t{e.before && e.snug} +
         std::size_t{e.loosening.has_value()};
}

class Grid {
 public:
  Grid(const BoltPrior& prior, const ReadingErrors& errors)
      : prior_(prior),
        errors_(errors),
        friction_(0, std::hypot(prior.friction_sigma, kOwn.back()), kFrictionReach),
        stiffness_(1, kStiffness, kReach),
        strength_(prior.strength.measured ? 1 : kExcess,
                  prior.strength.measured ? kMeasuredStrength : kStrength, kReach) {}

  // ln of friction over the prior's median, by index.
  [[nodiscard]] const Normal<kFrictions>& friction() const { return friction_; }
  // The weight of a stiffness and a strength before anything was read.
  [[nodiscard]] double common_weight(std::size_t j) const {
    return stiffness_.weight[j / kStrengths] * strength_.weight[j % kStrengths];
  }

  // All cells of each bolt, by friction, stiffness, strength; and its best misfit. The bolt of a cell is
  // worked out once for all of them.
  [[nodiscard]] std::vector<BoltCells> cells(std::span<const BoltEvidence> evidence) const {
    std::vector<BoltCells> out(evidence.size());
    for (BoltCells& bolt : out) bolt.cells.resize(kCells);
    std::size_t at = 0;
    for (std::size_t i = 0; i < kFrictions; ++i) {
      const double factor = std::exp(friction_.at[i]);
      const Contact contact{ThreadFriction(std::min(prior_.thread_friction * factor, 1.0)),
                            SeatFriction(std::min(prior_.seat_friction * factor, 1.0)), prior_.seat_diameter};
      for (std::size_t j = 0; j < kStiffnesses; ++j) {
        const TighteningGeometry geometry = prior_.geometry.softened(1 / stiffness_.at[j]);
        for (std::size_t l = 0; l < kStrengths; ++l, ++at) {
          const TighteningModel model(geometry, prior_.thread, contact,
                                      scaled(prior_.strength, strength_.at[l]));
          for (std::size_t b = 0; b < evidence.size(); ++b)
            out[b].cells[at] = cell(model, contact, evidence[b], out[b].misfit);
        }
      }
    }
    return out;
  }

 private:
  // Where the readings lead, the re-winding of each new pull taken off its angle.
  static TighteningState follow(const TighteningModel& model, const BoltEvidence& e) {
    const Angle none = units::of(0, units::radian);
    TighteningState state = model.torque({}, e.start);
    for (const Angle& angle : e.angles)
      state = model.angle(state, std::max<Angle>(angle - model.spring_back(state), none));
    if (e.stretch) state = model.stretch(state, *e.stretch);
    return state;
  }

  [[nodiscard]] double torque_deviation(double torque) const {
    return errors_.torque_share * torque + si(errors_.torque);
  }

  Cell cell(const TighteningModel& model, const Contact& contact, const BoltEvidence& e, double& best) const {
    const TighteningState end = follow(model, e);
    if (end.broken) return {};
    const double lever = si(model.lever()), preload = si(end.preload);
    // How the end moves with what was read before it: its slope there, by a small step.
    const double step = 1e-4;
    const TighteningState further = model.angle(end, units::of(step, units::radian));
    const double slope = further.broken ? 0 : (si(further.preload) - preload) / step;  // N/rad
    const double start = si(e.start);
    // g_1 of equation 13.2; a stretch says where the bolt ended, wherever it began.
    const double by_start = e.stretch ? 0 : slope * si(model.elastic_angle());
    // What the readings before the end leave open of the torque there: A of docs/physics.md equation 13.3.
    double input_variance = square(by_start * torque_deviation(start));
    if (e.stretch) {
      const double along = si(model.stretch_at(further)) - si(model.stretch_at(end));
      const double per_length = along > 0 ? (si(further.preload) - preload) / along : 0;
      input_variance = square(lever * per_length * si(errors_.stretch));
    } else {
      input_variance += square(lever * slope * si(errors_.angle)) * static_cast<double>(e.angles.size());
    }
    Cell out{1, preload, input_variance / square(lever), end.preload > *model.yield_preload()};
    double misfit = 0, log_spread = 0;
    if (e.final) {
      const double read = si(*e.final), expected = lever * preload;
      const double v = square(torque_deviation(read)) + input_variance +
                       square(errors_.calibration * (read - by_start * start));
      misfit += square(read - expected) / v;
      log_spread += std::log(v);
      // The angle and T1 are readings too: they take their share of the misfit.
      out.preload += input_variance / v * (read - expected) / lever;
      out.variance = input_variance * (1 - input_variance / v) / square(lever);
    }
    if (e.before && e.snug) misfit += before_misfit(model, e);
    if (e.loosening) {
      const double expected =
          si(loosening_torque(units::of(std::max(out.preload, 0.0), units::newton), prior_.thread, contact));
      misfit += square((si(*e.loosening) - expected) / (kLoosening * si(*e.loosening) + si(errors_.torque)));
    }
    best = std::min(best, misfit);
    out.likelihood = std::exp(-(misfit + log_spread) / 2);
    return out;
  }

  [[nodiscard]] static double before_misfit(const TighteningModel& model, const BoltEvidence& e) {
    const TighteningState snug = model.torque({}, *e.snug);
    const TighteningState start = model.torque(snug, e.start);
    const double expected =
        si(model.angle_at(start)) - si(model.angle_at(snug)) + si(model.spring_back(snug));
    const double read = si(*e.before);
    return square(read - expected) /
           (square(kBeforeShare * read) +
            square(units::value_in(units::of(kBefore, units::degree), units::radian)));
  }

  const BoltPrior& prior_;
  const ReadingErrors& errors_;
  Normal<kFrictions> friction_;
  Normal<kStiffnesses> stiffness_;
  Normal<kStrengths> strength_;
};

// Weighted values; the quantile where half of a value's own weight is counted to either side.
Credible credible(std::vector<std::pair<double, double>> values) {
  std::sort(values.begin(), values.end());
  double total = 0;
  for (const auto& [value, weight] : values) total += weight;
  const auto quantile = [&](double share) {
    double below = 0, previous = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
      const double middle = (below + values[i].second / 2) / total;
      if (middle >= share) {
        if (i == 0 || middle <= previous) return values[i].first;
        const double t = (share - previous) / (middle - previous);
        return values[i - 1].first + t * (values[i].first - values[i - 1].first);
      }
      previous = middle;
      below += values[i].second;
    }
    return values.back().first;
  };
  return {quantile(0.5), quantile(0.05), quantile(0.95)};
}

// One row of what is common, and how much of it counts.
struct Row {
  double factor;
  const double* values;  // kCommon of them
};

// sum += factor * values for all rows, four at a time: most of the work of an estimate, and bound by how
// often `sum` has to be written.
void add_rows(std::span<const Row> rows, double* sum) {
  std::size_t r = 0;
  for (; r + 4 <= rows.size(); r += 4) {
    const Row &a = rows[r], &b = rows[r + 1], &c = rows[r + 2], &d = rows[r + 3];
    for (std::size_t j = 0; j < kCommon; ++j)
      sum[j] += (a.factor * a.values[j] + b.factor * b.values[j]) +
                (c.factor * c.values[j] + d.factor * d.values[j]);
  }
  for (; r < rows.size(); ++r)
    for (std::size_t j = 0; j < kCommon; ++j) sum[j] += rows[r].factor * rows[r].values[j];
}

// What the bolts share: the middle of their friction, how far single bolts lie from it, the joint's
// stiffness, the lot's strength.
class Shared {
 public:
  // `sigma` is of single bolts: less the 8 % that one usually lies from the middle of its batch, it is the
  // middle's.
  Shared(const Grid& grid, double sigma)
      : grid_(grid),
        middle_(0, std::sqrt(std::max(square(sigma) - square(0.08), square(0.05))), kBatchReach) {
    for (std::size_t h = 0; h < kHypotheses; ++h) {
      double sum = 0;
      for (std::size_t i = 0; i < kFrictions; ++i) {
        const double z = (grid.friction().at[i] - middle_.at[h / kOwn.size()]) / kOwn[h % kOwn.size()];
        kernels_[h][i] = std::exp(-z * z / 2);
        sum += kernels_[h][i];
      }
      for (double& k : kernels_[h]) k /= std::max(sum, kAlmostNothing);
    }
  }

  // likelihoods: of each bolt, by friction and what is common.
  void learn(const std::vector<std::vector<double>>& likelihoods) {
    log_.resize(kHypotheses * kCommon);
    for (std::size_t h = 0; h < kHypotheses; ++h)
      for (std::size_t j = 0; j < kCommon; ++j)
        log_[h * kCommon + j] =
            std::log(middle_.weight[h / kOwn.size()] * kOwnWeight[h % kOwn.size()] * grid_.common_weight(j));
    std::vector<Row> rows;
    for (const std::vector<double>& likelihood : likelihoods) {
      std::vector<double> own(log_.size());
      for (std::size_t h = 0; h < kHypotheses; ++h) {
        double* sum = &own[h * kCommon];
        rows.clear();
        for (std::size_t i = 0; i < kFrictions; ++i)
          if (kernels_[h][i] >= 1e-9) rows.push_back({kernels_[h][i], &likelihood[i * kCommon]});
        add_rows(rows, sum);
        for (std::size_t j = 0; j < kCommon; ++j) {
          sum[j] = std::log(std::max(sum[j], kAlmostNothing));
          log_[h * kCommon + j] += sum[j];
        }
      }
      own_.push_back(std::move(own));
    }
  }

  // The prior of one bolt's cells, from all the others.
  [[nodiscard]] std::vector<double> prior_of(std::size_t bolt) const {
    std::vector<double> weight(log_.size());
    double most = -std::numeric_limits<double>::infinity();
    for (std::size_t k = 0; k < log_.size(); ++k) most = std::max(most, weight[k] = log_[k] - own_[bolt][k]);
    std::vector<bool> counts(kHypotheses);
    for (std::size_t k = 0; k < log_.size(); ++k) {
      weight[k] = std::exp(weight[k] - most);
      if (weight[k] < 1e-9) weight[k] = 0;
      if (weight[k] > 0) counts[k / kCommon] = true;
    }
    std::vector<double> out(kCells);
    std::vector<Row> rows;
    for (std::size_t i = 0; i < kFrictions; ++i) {
      rows.clear();
      for (std::size_t h = 0; h < kHypotheses; ++h)
        if (counts[h] && kernels_[h][i] >= 1e-12) rows.push_back({kernels_[h][i], &weight[h * kCommon]});
      add_rows(rows, &out[i * kCommon]);
    }
    return out;
  }

  [[nodiscard]] Credible middle() const {
    const double most = *std::max_element(log_.begin(), log_.end());
    const std::size_t block = kOwn.size() * kCommon;
    std::vector<std::pair<double, double>> values;
    for (std::size_t m = 0; m < kBatches; ++m) {
      double sum = 0;
      for (std::size_t k = 0; k < block; ++k) sum += std::exp(log_[m * block + k] - most);
      values.emplace_back(std::exp(middle_.at[m]), sum);
    }
    return credible(std::move(values));
  }

 private:
  static constexpr std::size_t kHypotheses = kBatches * kOwn.size();
  static constexpr double kAlmostNothing = 1e-300;

  const Grid& grid_;
  Normal<kBatches> middle_;
  std::array<std::array<double, kFrictions>, kHypotheses> kernels_{};
  std::vector<double> log_;
  std::vector<std::vector<double>> own_;
};

BoltPosterior posterior_of(const BoltPrior& prior, const Grid& grid, const std::vector<Cell>& cells,
                           const std::vector<double>& weights, bool knows_friction) {
  std::vector<std::pair<double, double>> preloads, frictions;
  double total = 0, yielded = 0, variance = 0;
  const double middle = (prior.thread_friction + prior.seat_friction) / 2;
  for (std::size_t i = 0; i < kFrictions; ++i) {
    double here = 0, yielded_here = 0;
    for (std::size_t at = i * kCommon; at < (i + 1) * kCommon; ++at) {
      const double w = weights[at] * cells[at].likelihood;
      if (!(w > 0)) continue;
      preloads.emplace_back(cells[at].preload, w);
      here += w;
      variance += w * cells[at].variance;
      if (cells[at].yielded) yielded_here += w;
    }
    // Summed as the total is, so that rounding never takes a part above the whole.
    total += here;
    yielded += yielded_here;
    frictions.emplace_back(middle * std::exp(grid.friction().at[i]), here);
  }
  BoltPosterior out{credible(std::move(preloads))};
  const double within = kFivePercent * std::sqrt(variance / total);
  Credible& p = out.preload;
  p.p5 = std::max(0.0, p.median - std::hypot(p.median - p.p5, within));
  p.p95 = p.median + std::hypot(p.p95 - p.median, within);
  out.yielded = yielded / total;
  if (knows_friction) out.friction = credible(std::move(frictions));
  return out;
}

void estimate_together(const BoltPrior& prior, const Grid& grid, std::span<const BoltEvidence> evidence,
                       GroupPosterior& out) {
  const std::vector<BoltCells> all = grid.cells(evidence);
  std::vector<std::vector<double>> likelihoods;
  std::vector<std::size_t> sound;  // bolts whose readings agree with the prior
  bool any_friction = false;
  for (std::size_t b = 0; b < evidence.size(); ++b) {
    const std::vector<Cell>& own = all[b].cells;
    double most = 0;
    for (const Cell& cell : own) most = std::max(most, cell.likelihood);
    if (most <= 0 || all[b].misfit > kMostMisfit[terms_of(evidence[b])] + 1e-9) continue;
    std::vector<double> likelihood(kCells);
    for (std::size_t k = 0; k < kCells; ++k) likelihood[k] = own[k].likelihood / most;
    any_friction = any_friction || terms_of(evidence[b]) > 0;
    sound.push_back(b);
    likelihoods.push_back(std::move(likelihood));
  }
  if (sound.empty()) return;
  Shared shared(grid, prior.friction_sigma);
  shared.learn(likelihoods);
  if (any_friction && !out.friction_ratio) out.friction_ratio = shared.middle();
  const std::size_t first = out.bolts.size() - evidence.size();
  for (std::size_t k = 0; k < sound.size(); ++k)
    out.bolts[first + sound[k]] =
        posterior_of(prior, grid, all[sound[k]].cells, shared.prior_of(k), terms_of(evidence[sound[k]]) > 0);
}

}  // namespace

GroupPosterior estimate_group(const BoltPrior& prior, std::span<const BoltEvidence> evidence,
                              const ReadingErrors& errors) {
  require_between(prior.friction_sigma, 0, 2, "spread of friction");
  for (const BoltEvidence& e : evidence) {
    require_positive(e.start, "torque at the start");
    if (e.angles.empty() && !e.stretch)
      throw DomainError("angles of a bolt", 0, "at least one, or a stretch: a torque alone says nothing");
  }
  const Grid grid(prior, errors);
  GroupPosterior out;
  for (std::size_t from = 0; from < evidence.size(); from += kTogether) {
    const auto chunk = evidence.subspan(from, std::min(kTogether, evidence.size() - from));
    out.bolts.resize(out.bolts.size() + chunk.size());
    estimate_together(prior, grid, chunk, out);
  }
  return out;
}

}  // namespace clampbook::joint
