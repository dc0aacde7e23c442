#include <clampbook/trace/shape.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace clampbook::trace {

namespace {

constexpr double kStays = 3;  // degrees for which a crossing must last

// The first index whose angle is not below `angle`.
std::size_t index_at(std::span<const CurvePoint> points, double angle) {
  const auto found = std::lower_bound(points.begin(), points.end(), angle,
                                      [](const CurvePoint& p, double a) { return p.degrees < a; });
  return static_cast<std::size_t>(found - points.begin());
}

// True when `beyond(i)` holds from `i` for kStays degrees, or to the end.
template <class Beyond>
bool stays(std::span<const CurvePoint> points, std::size_t i, Beyond beyond) {
  const double until = points[i].degrees + kStays;
  for (; i < points.size() && points[i].degrees <= until; ++i)
    if (!beyond(i)) return false;
  return true;
}

}  // namespace

RunDown run_down(std::span<const CurvePoint> points, double peak, std::optional<double> end_of_thread) {
  RunDown out;
  if (points.empty()) return out;
  const double start = points.front().degrees;
  // A lock nut's torque is no part of the rise. A short pull, and one of a bolt that was tight already, has
  // no run-down to take it from.
  std::vector<double> early;
  const double quarter = start + (points.back().degrees - start) / 4;
  for (const CurvePoint& p : points)
    if (p.degrees <= quarter) early.push_back(p.running);
  double base = median(early);
  if (points.back().degrees - start < 90 || base > 0.5 * peak) base = 0;
  const double bar = base + 0.15 * (peak - base);
  std::size_t seat = 0, above = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i].newton_metres <= bar) {
      above = i + 1;
      continue;
    }
    if (points[i].degrees - points[std::min(above, i)].degrees >= 6) break;
  }
  seat = std::min(above, points.size() - 1);
  out.seat = points[seat].degrees;
  const double end = end_of_thread.value_or(out.seat - 25);
  const std::size_t last = index_at(points, end);
  out.length = last == 0 ? 0 : points[last - 1].degrees - start;
  std::vector<double> torques;
  for (std::size_t i = 0; i < last; ++i) torques.push_back(points[i].running);
  if (torques.size() < 4) return out;
  const auto part = static_cast<std::ptrdiff_t>(torques.size() / 4);
  std::vector<double> first_part(torques.begin(), torques.begin() + part);
  std::vector<double> last_part(torques.end() - part, torques.end());
  out.trend = median(last_part) - median(first_part);
  out.deviation = spread(torques);
  out.torque = median(torques);
  return out;
}

Gradient gradient(std::span<const CurvePoint> points, const LineFits& fits, double base, std::size_t peak) {
  constexpr std::array kWindows{6.0, 8.0, 12.0, 16.0, 24.0};
  const double rise = points[peak].newton_metres - base;
  Gradient out;
  for (const double window : kWindows) {
    out.window = window;
    out.values.assign(points.size(), 0);
    std::vector<double> middle;
    std::size_t low = 0, high = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      while (points[low].degrees < points[i].degrees - window / 2) ++low;
      while (high < points.size() && points[high].degrees <= points[i].degrees + window / 2) ++high;
      out.values[i] = fits.fit(low, high).slope;
      const double share = (points[i].newton_metres - base) / rise;
      if (i <= peak && share > 0.3 && share < 0.7) middle.push_back(out.values[i]);
    }
    if (spread(middle) < 0.06 * median(middle)) break;
  }
  return out;
}

std::optional<ElasticPart> elastic_part(std::span<const CurvePoint> points, const Gradient& gradient,
                                        double reference, double base, std::size_t peak) {
  constexpr std::size_t kGap = 3;
  constexpr double kTrim = 0.1;
  ElasticPart best;
  double longest = 0;
  std::optional<std::size_t> first;
  std::size_t last = 0;
  const auto settle = [&] {
    if (first && points[last].degrees - points[*first].degrees > longest) {
      longest = points[last].degrees - points[*first].degrees;
      best.first = *first;
      best.last = last;
    }
    first.reset();
  };
  for (std::size_t i = 0; i <= peak; ++i) {
    const double share = gradient.values[i] / reference;
    if (share >= 0.85 && share <= 1.25) {
      if (!first) first = i;
      last = i;
    } else if (first && i > last + kGap) {
      settle();
    }
  }
  settle();
  const double rise = points[peak].newton_metres - base;
  const double begins = points[best.first].degrees, ends = points[best.last].degrees;
  if (longest <= 0 || best.last < best.first + 3 ||
      points[best.last].newton_metres - points[best.first].newton_metres < 0.06 * rise)
    return std::nullopt;
  // The ends of the run bend already.
  const double trim = kTrim * longest;
  while (best.last > best.first + 4 && points[best.first].degrees - begins < trim) ++best.first;
  while (best.last > best.first + 4 && ends - points[best.last].degrees < trim) --best.last;
  const auto part = points.subspan(best.first, best.last - best.first + 1);
  const Line rough = LineFits(part).fit(0, part.size());
  std::vector<double> distances;
  for (const CurvePoint& p : part) distances.push_back(p.newton_metres - rough.torque_at(p.degrees));
  best.noise = spread(distances);
  std::vector<CurvePoint> inside;
  for (const CurvePoint& p : part)
    if (std::fabs(p.newton_metres - rough.torque_at(p.degrees)) <= 2 * best.noise + 1e-12)
      inside.push_back(p);
  best.line = inside.size() >= 4 ? LineFits(inside).fit(0, inside.size()) : rough;
  if (best.line.slope <= 0) return std::nullopt;
  return best;
}

std::vector<CurvePoint> smoothed(std::span<const CurvePoint> points, const LineFits& fits, double window) {
  std::vector<CurvePoint> out(points.begin(), points.end());
  std::size_t low = 0, high = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    while (points[low].degrees < points[i].degrees - window / 2) ++low;
    while (high < points.size() && points[high].degrees <= points[i].degrees + window / 2) ++high;
    out[i].newton_metres = fits.fit(low, high).torque_at(points[i].degrees);
  }
  return out;
}

std::optional<double> snug_angle(std::span<const CurvePoint> smooth, const ElasticPart& part, double base) {
  constexpr double kWithin = 1.5;
  const double origin = part.line.angle_at(base);
  // From the middle of the line: where it begins is a matter of what else it was laid through.
  std::size_t at = std::min(index_at(smooth, part.line.degrees), smooth.size() - 1);
  const auto away = [&](std::size_t i) {
    return std::fabs(smooth[i].newton_metres - part.line.torque_at(smooth[i].degrees)) / part.line.slope;
  };
  // Noise alone leaves the line too, but not for long.
  const auto stays_away = [&](std::size_t i) {
    const double until = std::max(smooth[i].degrees - kStays, origin);
    for (; smooth[i].degrees > until; --i) {
      if (away(i) <= kWithin) return false;
      if (i == 0) break;
    }
    return true;
  };
  for (; smooth[at].degrees > origin; --at) {
    if (at == 0) return std::nullopt;
    if (away(at) <= kWithin || !stays_away(at)) continue;
    if (at + 1 == smooth.size()) return std::nullopt;  // the line lies beyond the curve
    const double beyond = away(at), within = away(at + 1);
    if (within >= kWithin) return smooth[at].degrees;
    return std::lerp(smooth[at].degrees, smooth[at + 1].degrees, (beyond - kWithin) / (beyond - within));
  }
  return origin;
}

std::optional<double> half_slope_angle(std::span<const CurvePoint> points, const Gradient& gradient,
                                       const ElasticPart& part) {
  const double half = part.line.slope / 2;
  const auto below = [&](std::size_t i) { return gradient.values[i] < half; };
  for (std::size_t i = part.last; i < points.size(); ++i) {
    if (!below(i) || !stays(points, i, below)) continue;
    if (points.back().degrees - points[i].degrees < kStays) return std::nullopt;
    if (i == 0 || gradient.values[i - 1] <= gradient.values[i]) return points[i].degrees;
    const double share = (gradient.values[i - 1] - half) / (gradient.values[i - 1] - gradient.values[i]);
    return std::lerp(points[i - 1].degrees, points[i].degrees, std::clamp(share, 0.0, 1.0));
  }
  return std::nullopt;
}

std::optional<double> offset_crossing(std::span<const CurvePoint> points, const ElasticPart& part,
                                      double offset) {
  const auto away = [&](std::size_t i) {
    return points[i].newton_metres - part.line.torque_at(points[i].degrees - offset);
  };
  const auto beyond = [&](std::size_t i) { return away(i) < 0; };
  for (std::size_t i = part.last; i < points.size(); ++i) {
    if (!beyond(i) || !stays(points, i, beyond)) continue;
    if (points.back().degrees - points[i].degrees < kStays) return std::nullopt;
    if (i == 0 || away(i - 1) <= 0) return points[i].degrees;
    return std::lerp(points[i - 1].degrees, points[i].degrees, away(i - 1) / (away(i - 1) - away(i)));
  }
  return std::nullopt;
}

double torque_near(std::span<const CurvePoint> points, const LineFits& fits, double angle, double reach) {
  std::size_t low = index_at(points, angle - reach);
  std::size_t high = index_at(points, angle + reach);
  if (high < low + 2) {  // sparse points: the two around
    high = std::clamp<std::size_t>(index_at(points, angle), 1, points.size() - 1) + 1;
    low = high - 2;
  }
  const Line line = fits.fit(low, high);
  return line.torque_at(angle);
}

namespace {

// Means over cells of whole degrees, so that the knee's function is asked for at whole distances only.
struct Grid {
  double first = 0;
  double cell = 1;  // degrees
  std::vector<double> torques{};
};

Grid grid_of(std::span<const CurvePoint> points, double cell) {
  Grid out{std::floor(points.front().degrees), cell, {}};
  const auto size = static_cast<std::size_t>((points.back().degrees - out.first) / cell) + 1;
  std::vector<double> counts(size, 0);
  out.torques.assign(size, 0);
  for (const CurvePoint& p : points) {
    const auto at = static_cast<std::size_t>((p.degrees - out.first) / cell);
    out.torques[at] += p.newton_metres;
    counts[at] += 1;
  }
  std::size_t last = 0;  // neither the first nor the last cell is empty
  for (std::size_t i = 0; i < size; ++i) {
    if (counts[i] == 0) continue;
    out.torques[i] /= counts[i];
    for (std::size_t gap = last + 1; gap < i; ++gap)
      out.torques[gap] = std::lerp(out.torques[last], out.torques[i],
                                   static_cast<double>(gap - last) / static_cast<double>(i - last));
    last = i;
  }
  return out;
}

struct KneeFit {
  double error = 0, rise = 0, fall = 0;  // squared error, c1, c2
};

// All knees through one grid: what does not hang on the knee is summed once.
class KneeSearch {
 public:
  explicit KneeSearch(Grid grid) : grid_(std::move(grid)) {
    n_ = static_cast<double>(size());
    xx_ = n_ * (n_ * n_ - 1) / 12;
    for (std::size_t i = 0; i < size(); ++i) {
      const double x = static_cast<double>(i) - (n_ - 1) / 2;
      distances_.push_back(x);
      y_ += grid_.torques[i];
      yy_ += grid_.torques[i] * grid_.torques[i];
      xy_ += x * grid_.torques[i];
    }
    yy_ -= y_ * y_ / n_;
  }

  /// Knees of these widths at each `step` cells from `first` to `last`.
  void search(std::span<const double> widths, std::size_t first, std::size_t last, std::size_t step) {
    for (const double width : widths) {
      tabulate(width / grid_.cell);
      for (std::size_t at = std::max<std::size_t>(first, 2); at <= last && at + 2 < size(); at += step) {
        const KneeFit fit = fit_at(at);
        if (width_ > 0 && fit.error >= best_.error) continue;
        best_ = fit;
        at_ = at;
        width_ = width;
      }
    }
  }
  [[nodiscard]] std::size_t size() const { return grid_.torques.size(); }
  [[nodiscard]] std::size_t at() const { return at_; }
  /// Where the best knee's slope is half of that before it.
  [[nodiscard]] std::optional<double> half_slope() const {
    if (width_ <= 0 || best_.fall <= 0.5 * best_.rise) return std::nullopt;
    // The logistic share of the fall that leaves c1/2.
    const double share = best_.rise / (2 * best_.fall);
    return grid_.first + (0.5 + static_cast<double>(at_)) * grid_.cell +
           width_ * std::log(share / (1 - share));
  }

 private:
  // soft_[size + d] is w ln(1 + exp(d/w)) at d cells from the knee; its two halves differ by d.
  void tabulate(double width) {
    soft_.assign(2 * size(), 0);
    const double ratio = std::exp(-1 / width);
    double power = 1;
    for (std::size_t d = 0; d < size(); ++d, power *= ratio) {
      const double below = power > 1e-17 ? width * std::log1p(power) : 0;
      soft_[size() - d] = below;
      soft_[size() + d] = static_cast<double>(d) + below;
    }
    if (size() > 0) soft_[0] = 0;
  }

  // Least squares of c0, c1, c2 with 0 <= c2 <= 1.1 c1.
  [[nodiscard]] KneeFit fit_at(std::size_t at) const {
    const double* soft = soft_.data() + size() - at;
    // Four sums each, so that they need not wait for one another.
    constexpr std::size_t kLanes = 4;
    std::array<double, kLanes> sums{}, squares{}, moments{}, products{};
    const std::size_t whole = size() / kLanes * kLanes;
    for (std::size_t i = 0; i < whole; i += kLanes) {
      for (std::size_t lane = 0; lane < kLanes; ++lane) {
        const double value = soft[i + lane];
        sums[lane] += value;
        squares[lane] += value * value;
        moments[lane] += distances_[i + lane] * value;
        products[lane] += value * grid_.torques[i + lane];
      }
    }
    for (std::size_t i = whole; i < size(); ++i) {
      sums[0] += soft[i];
      squares[0] += soft[i] * soft[i];
      moments[0] += distances_[i] * soft[i];
      products[0] += soft[i] * grid_.torques[i];
    }
    const auto total = [](const std::array<double, kLanes>& lanes) {
      return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
    };
    const double s = total(sums), xs = total(moments);
    double ss = total(squares), sy = total(products);
    ss -= s * s / n_;
    sy -= s * y_ / n_;
    const double determinant = xx_ * ss - xs * xs;
    KneeFit out;
    if (determinant > 1e-9 * xx_ * ss) out.fall = std::max((xs * xy_ - xx_ * sy) / determinant, 0.0);
    out.rise = (xy_ + out.fall * xs) / xx_;
    if (out.fall > 1.1 * out.rise) {  // c2 = 1.1 c1: one slope for x - 1.1 s
      const double pp = xx_ - 2.2 * xs + 1.21 * ss;
      out.rise = pp > 0 ? (xy_ - 1.1 * sy) / pp : 0;
      out.fall = 1.1 * out.rise;
    }
    out.error = yy_ - 2 * (out.rise * xy_ - out.fall * sy) + out.rise * out.rise * xx_ -
                2 * out.rise * out.fall * xs + out.fall * out.fall * ss;
    return out;
  }

  Grid grid_;
  double n_ = 0, xx_ = 0, y_ = 0, yy_ = 0, xy_ = 0;
  std::vector<double> distances_{}, soft_{};
  KneeFit best_{};
  std::size_t at_ = 0;
  double width_ = 0;
};

constexpr std::size_t kFewestCells = 8, kMostCells = 2000;

}  // namespace

std::optional<double> knee_angle(std::span<const CurvePoint> points, std::size_t first, double beyond,
                                 double expected) {
  constexpr std::array kRough{3.0, 6.0, 12.0};
  constexpr std::array kWidths{1.5, 3.0, 5.0, 8.0, 12.0, 18.0};
  points = points.subspan(first);
  if (points.size() < kFewestCells) return std::nullopt;
  const double turned = points.back().degrees - points.front().degrees;
  if (turned < kFewestCells || turned > kMostCells) return std::nullopt;
  KneeSearch all(grid_of(points, 2));
  all.search(kRough, 0, all.size(), 2);
  const auto rough = all.half_slope();
  if (!rough) return std::nullopt;
  const auto near = points.first(index_at(points, std::max(*rough, expected) + beyond));
  if (near.size() < kFewestCells || near.back().degrees - near.front().degrees < kFewestCells)
    return std::nullopt;
  constexpr std::size_t kAround = 12;
  KneeSearch fine(grid_of(near, 1));
  const std::size_t centre = 2 * all.at();
  fine.search(kWidths, centre > kAround ? centre - kAround : 0, centre + kAround, 2);
  fine.search(kWidths, fine.at() - 1, fine.at() + 1, 1);
  return fine.half_slope();
}

}  // namespace clampbook::trace
