#include <clampbook/trace/shape.h>

#include <algorithm>
#include <array>
#include <cmath>

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
  // A lock nut's torque is no part of the rise.
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
  std::size_t at = part.first;
  const auto away = [&](std::size_t i) {
    return std::fabs(smooth[i].newton_metres - part.line.torque_at(smooth[i].degrees)) / part.line.slope;
  };
  for (; smooth[at].degrees > origin; --at) {
    if (at == 0) return std::nullopt;
    if (away(at) <= kWithin) continue;
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

// Means over one degree each, so that the knee's function is asked for at whole distances only.
struct Grid {
  double first = 0;
  std::vector<double> torques{};
};

Grid grid_of(std::span<const CurvePoint> points) {
  Grid out;
  out.first = std::floor(points.front().degrees);
  const auto size = static_cast<std::size_t>(points.back().degrees - out.first) + 1;
  std::vector<double> counts(size, 0);
  out.torques.assign(size, 0);
  for (const CurvePoint& p : points) {
    const auto cell = static_cast<std::size_t>(p.degrees - out.first);
    // Moved along the curve to the middle of the cell would be finer; half a cell's mean is fine enough.
    out.torques[cell] += p.newton_metres;
    counts[cell] += 1;
  }
  for (std::size_t i = 0; i < size; ++i) {
    if (counts[i] > 0) {
      out.torques[i] /= counts[i];
    } else if (i > 0) {
      std::size_t next = i;
      while (counts[next] == 0) ++next;  // the last cell is never empty
      out.torques[i] = out.torques[i - 1] + (out.torques[next] / counts[next] - out.torques[i - 1]) /
                                                static_cast<double>(next - i + 1);
      counts[i] = 1;
    }
  }
  return out;
}

struct KneeFit {
  double error = 0, rise = 0, fall = 0;  // squared error, c1, c2
};

// Least squares of c0, c1, c2 for one knee; `soft[i]` is the knee's function at cell i.
KneeFit fit_knee(const std::vector<double>& torques, const double* soft) {
  const auto n = static_cast<double>(torques.size());
  double s = 0, y = 0, ss = 0, xs = 0, sy = 0, xy = 0, yy = 0;
  const double middle = (n - 1) / 2;
  for (std::size_t i = 0; i < torques.size(); ++i) {
    const double x = static_cast<double>(i) - middle;
    s += soft[i];
    ss += soft[i] * soft[i];
    xs += x * soft[i];
    y += torques[i];
    yy += torques[i] * torques[i];
    xy += x * torques[i];
    sy += soft[i] * torques[i];
  }
  const double xx = n * (n * n - 1) / 12;
  ss -= s * s / n;
  sy -= s * y / n;
  yy -= y * y / n;
  const double determinant = xx * ss - xs * xs;
  KneeFit out;
  if (determinant > 1e-9 * xx * ss) out.fall = (xs * xy - xx * sy) / determinant;
  out.fall = std::max(out.fall, 0.0);
  out.rise = (xy + out.fall * xs) / xx;
  if (out.fall > 1.1 * out.rise) {  // c2 = 1.1 c1: one slope for x - 1.1 s
    const double pp = xx - 2.2 * xs + 1.21 * ss;
    out.rise = pp > 0 ? (xy - 1.1 * sy) / pp : 0;
    out.fall = 1.1 * out.rise;
  }
  out.error = yy - 2 * (out.rise * xy - out.fall * sy) + out.rise * out.rise * xx -
              2 * out.rise * out.fall * xs + out.fall * out.fall * ss;
  return out;
}

}  // namespace

std::optional<double> knee_angle(std::span<const CurvePoint> points, std::size_t first) {
  constexpr std::array kWidths{1.5, 3.0, 5.0, 8.0, 12.0, 18.0};
  constexpr std::size_t kFewest = 8, kMost = 2000;
  points = points.subspan(first);
  if (points.size() < kFewest) return std::nullopt;
  const Grid grid = grid_of(points);
  const std::size_t size = grid.torques.size();
  if (size < kFewest || size > kMost) return std::nullopt;
  KneeFit best;
  double best_at = 0, best_width = 0;
  std::vector<double> soft(2 * size);
  for (const double width : kWidths) {
    // soft[size + d] is the function at the distance d from the knee.
    for (std::size_t i = 0; i < soft.size(); ++i) {
      const double t = (static_cast<double>(i) - static_cast<double>(size)) / width;
      soft[i] = width * (t > 0 ? t + std::log1p(std::exp(-t)) : std::log1p(std::exp(t)));
    }
    const auto consider = [&](std::size_t at) {
      const KneeFit fit = fit_knee(grid.torques, soft.data() + size - at);
      if (best_width > 0 && fit.error >= best.error) return;
      best = fit;
      best_at = static_cast<double>(at);
      best_width = width;
    };
    for (std::size_t at = 2; at + 2 < size; at += 2) consider(at);
    if (best_width != width) continue;
    const auto centre = static_cast<std::size_t>(best_at);
    consider(centre - 1);
    consider(centre + 1);
  }
  // The logistic share of the fall that brings the slope to c1/2.
  if (best_width <= 0 || best.fall <= 0.5 * best.rise) return std::nullopt;
  const double share = best.rise / (2 * best.fall);
  return grid.first + 0.5 + best_at + best_width * std::log(share / (1 - share));
}

}  // namespace clampbook::trace
