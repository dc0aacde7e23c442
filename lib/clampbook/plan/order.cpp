#include <clampbook/plan/order.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numeric>
#include <stdexcept>
#include <utility>

namespace clampbook::plan {

namespace {

struct Dot {
  double x, y;  // metres
};

std::vector<Dot> dots(const std::vector<Point>& points) {
  std::vector<Dot> out;
  out.reserve(points.size());
  for (const Point& p : points)
    out.push_back({units::value_in(p.x, units::metre), units::value_in(p.y, units::metre)});
  return out;
}

double distance(Dot a, Dot b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}
// Cheap, to pass over what is far away in a ring of thousands.
double squared(Dot a, Dot b) {
  return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y);
}

struct Box {
  Dot low, high;
  [[nodiscard]] Dot centre() const { return {(low.x + high.x) / 2, (low.y + high.y) / 2}; }
  [[nodiscard]] double extent() const { return std::max(high.x - low.x, high.y - low.y); }
};

Box bounding_box(const std::vector<Dot>& d) {
  Box box{d.front(), d.front()};
  for (const Dot p : d) {
    box.low = {std::min(box.low.x, p.x), std::min(box.low.y, p.y)};
    box.high = {std::max(box.high.x, p.x), std::max(box.high.y, p.y)};
  }
  return box;
}

Dot centroid(const std::vector<Dot>& d) {
  Dot sum{0, 0};
  for (const Dot p : d) sum = {sum.x + p.x, sum.y + p.y};
  const auto n = static_cast<double>(d.size());
  return {sum.x / n, sum.y / n};
}

// Distances count in steps of a thousandth of the extent, so that what is equal on paper compares equal
// on every machine.
class Grid {
 public:
  explicit Grid(double extent) : step_(extent > 0 ? extent * 1e-3 : 1) {}
  [[nodiscard]] std::int64_t operator()(double length) const { return std::llround(length / step_); }
  /// Squared: a length at or above this one rounds to no less than `steps`.
  [[nodiscard]] double squared_bound(std::int64_t steps) const {
    const double bound = (static_cast<double>(steps) - 0.5) * step_ * (1 + 1e-9);
    return bound > 0 ? bound * bound : 0;
  }

 private:
  double step_;
};

constexpr double kTurn = 2 * units::kPi;

// Angle of `p` about `centre`, anticlockwise from `first`, 0 .. 2 pi. A hair below a whole turn is zero.
double angle_from(Dot first, Dot p, Dot centre) {
  double a = std::atan2(p.y - centre.y, p.x - centre.x) - std::atan2(first.y - centre.y, first.x - centre.x);
  if (a < 0) a += kTurn;
  return a > kTurn - 1e-9 ? 0 : a;
}

// Positions by angle, anticlockwise from the first in the list; equal angles from the inside out.
std::vector<std::size_t> around(const std::vector<Dot>& d, Dot centre) {
  const Grid grid(bounding_box(d).extent());
  std::vector<std::size_t> out(d.size());
  std::iota(out.begin(), out.end(), std::size_t{0});
  std::vector<std::int64_t> angle(d.size()), radius(d.size());
  for (std::size_t i = 0; i < d.size(); ++i) {
    angle[i] = std::llround(angle_from(d.front(), d[i], centre) * 1e6);
    radius[i] = grid(distance(d[i], centre));
  }
  std::stable_sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) {
    return angle[a] != angle[b] ? angle[a] < angle[b] : radius[a] < radius[b];
  });
  return out;
}

// 0 .. k-1 in rounds of a stride: 0, s, 2s, .. ; 1, 1+s, .. so that neighbours are not taken in a row.
std::vector<std::size_t> in_rounds(std::size_t k) {
  const std::size_t stride = std::max<std::size_t>(1, k / 2);
  std::vector<std::size_t> out;
  for (std::size_t start = 0; start < stride; ++start)
    for (std::size_t p = start; p < k; p += stride) out.push_back(p);
  return out;
}

// The star over n places that are numbered around a circle.
std::vector<std::size_t> star_over(std::size_t n) {
  std::vector<std::size_t> out;
  if (n % 2 == 1) {
    std::size_t step = std::max<std::size_t>(1, (n - 1) / 2);
    while (std::gcd(step, n) != 1) --step;
    for (std::size_t i = 0; i < n; ++i) out.push_back(i * step % n);
  } else if (n % 4 == 2) {
    for (const std::size_t p : in_rounds(n / 2)) out.insert(out.end(), {p, p + n / 2});
  } else {
    for (const std::size_t p : in_rounds(n / 4))
      out.insert(out.end(), {p, p + n / 2, p + n / 4, p + 3 * n / 4});
  }
  return out;
}

std::vector<std::size_t> star(const std::vector<Dot>& d, Dot centre) {
  const std::vector<std::size_t> numbered = around(d, centre);
  std::vector<std::size_t> out;
  for (const std::size_t place : star_over(d.size())) out.push_back(numbered[place]);
  return out;
}

// Median distance to the nearest neighbour. Sorted along the longer side, so that only near ones are tried.
double median_spacing(const std::vector<Dot>& d) {
  const Box box = bounding_box(d);
  const bool along_x = box.high.x - box.low.x >= box.high.y - box.low.y;
  const auto along = [&](Dot p) { return along_x ? p.x : p.y; };
  std::vector<Dot> sorted = d;
  std::sort(sorted.begin(), sorted.end(), [&](Dot a, Dot b) { return along(a) < along(b); });
  std::vector<double> nearest(sorted.size(), std::numeric_limits<double>::infinity());
  for (std::size_t i = 0; i < sorted.size(); ++i) {
    for (std::size_t j = i + 1; j < sorted.size() && along(sorted[j]) - along(sorted[i]) < nearest[i]; ++j) {
      const double gap = distance(sorted[i], sorted[j]);
      nearest[i] = std::min(nearest[i], gap);
      nearest[j] = std::min(nearest[j], gap);
    }
  }
  std::sort(nearest.begin(), nearest.end());
  const std::size_t n = nearest.size();
  return n % 2 == 1 ? nearest[n / 2] : (nearest[n / 2 - 1] + nearest[n / 2]) / 2;
}

// Takes one ring after the other; in a ring a lead, its mirror, the next lead. Quadratic in the bolts of a
// ring.
class CentreOut {
 public:
  explicit CentreOut(const std::vector<Dot>& d)
      : d_(d),
        centre_(bounding_box(d).centre()),
        spacing_(median_spacing(d)),
        grid_(bounding_box(d).extent()) {}

  std::vector<std::size_t> order() {
    std::vector<std::size_t> by_distance(d_.size());
    std::iota(by_distance.begin(), by_distance.end(), std::size_t{0});
    std::vector<std::int64_t> radius(d_.size());
    for (std::size_t i = 0; i < d_.size(); ++i) radius[i] = grid_(distance(d_[i], centre_));
    std::stable_sort(by_distance.begin(), by_distance.end(),
                     [&](std::size_t a, std::size_t b) { return radius[a] < radius[b]; });
    const std::int64_t width = grid_(0.35 * spacing_);
    std::vector<std::size_t> ring;
    for (const std::size_t bolt : by_distance) {
      if (!ring.empty() && radius[bolt] - radius[ring.front()] > width) take_ring(std::exchange(ring, {}));
      ring.push_back(bolt);
    }
    take_ring(std::move(ring));
    return std::move(out_);
  }

 private:
  void take_ring(std::vector<std::size_t> ring) {
    if (out_.empty()) {
      // The very first is the nearest to the centre; the ring is sorted by that, ties in list order.
      const std::size_t first = ring.front();
      std::sort(ring.begin(), ring.end());
      nearest_.assign(ring.size(), kFar);
      take(ring, first);
      take_mirror(ring, first);
    } else {
      std::sort(ring.begin(), ring.end());
      nearest_.assign(ring.size(), kFar);
    }
    while (!ring.empty()) {
      const std::size_t lead = next_lead(ring);
      take(ring, lead);
      take_mirror(ring, lead);
    }
  }

  // The ring's bolt farthest from all that are tightened in it; ties: farthest from the last; ties: list
  // order.
  [[nodiscard]] std::size_t next_lead(const std::vector<std::size_t>& ring) const {
    std::size_t best = 0;
    for (std::size_t i = 1; i < ring.size(); ++i) {
      if (nearest_[i] != nearest_[best]) {
        if (nearest_[i] > nearest_[best]) best = i;
      } else if (grid_(distance(d_[ring[i]], d_[out_.back()])) >
                 grid_(distance(d_[ring[best]], d_[out_.back()]))) {
        best = i;
      }
    }
    return ring[best];
  }

  void take_mirror(std::vector<std::size_t>& ring, std::size_t lead) {
    const Dot reflection{2 * centre_.x - d_[lead].x, 2 * centre_.y - d_[lead].y};
    std::size_t best = ring.size();
    std::int64_t best_gap = grid_(spacing_) + 1;  // farther ones are no mirror
    for (std::size_t i = 0; i < ring.size(); ++i) {
      if (squared(d_[ring[i]], reflection) > grid_.squared_bound(best_gap)) continue;
      const std::int64_t gap = grid_(distance(d_[ring[i]], reflection));
      if (gap < best_gap) {
        best = i;
        best_gap = gap;
      }
    }
    if (best < ring.size()) take(ring, ring[best]);
  }

  // Moves the bolt from the ring to the order, keeping `nearest_` beside `ring`.
  void take(std::vector<std::size_t>& ring, std::size_t bolt) {
    const auto at = std::find(ring.begin(), ring.end(), bolt) - ring.begin();
    ring.erase(ring.begin() + at);
    nearest_.erase(nearest_.begin() + at);
    for (std::size_t i = 0; i < ring.size(); ++i)
      if (nearest_[i] == kFar || squared(d_[ring[i]], d_[bolt]) < grid_.squared_bound(nearest_[i]))
        nearest_[i] = std::min(nearest_[i], grid_(distance(d_[ring[i]], d_[bolt])));
    out_.push_back(bolt);
  }

  static constexpr std::int64_t kFar = INT64_MAX;
  const std::vector<Dot>& d_;
  Dot centre_;
  double spacing_;
  Grid grid_;
  std::vector<std::int64_t> nearest_;  // of each bolt left in the ring: to the nearest tightened one of it
  std::vector<std::size_t> out_;
};

bool on_circle(const std::vector<Dot>& d) {
  if (d.size() < 2) return true;
  const Dot centre = centroid(d);
  double sum = 0;
  for (const Dot p : d) sum += distance(p, centre);
  const double mean = sum / static_cast<double>(d.size());
  if (mean <= 0) return false;
  for (const Dot p : d)
    if (std::fabs(distance(p, centre) - mean) > 0.03 * mean) return false;
  std::vector<double> angles;
  for (const Dot p : d) angles.push_back(angle_from(d.front(), p, centre));
  std::sort(angles.begin(), angles.end());
  const double widest = 2 * kTurn / static_cast<double>(d.size());
  for (std::size_t i = 0; i < angles.size(); ++i) {
    const double next = i + 1 < angles.size() ? angles[i + 1] : angles.front() + kTurn;
    if (d.size() > 2 && next - angles[i] >= widest - 1e-9) return false;
  }
  return true;
}

}  // namespace

bool is_circle(const std::vector<Point>& points) {
  return on_circle(dots(points));
}

std::vector<std::size_t> order_points(schedule::OrderKind kind, const std::vector<Point>& points) {
  std::vector<std::size_t> listed(points.size());
  std::iota(listed.begin(), listed.end(), std::size_t{0});
  if (points.size() < 2) return listed;
  const std::vector<Dot> d = dots(points);
  const bool circle = kind != schedule::OrderKind::listed && on_circle(d);
  const Dot centre = circle ? centroid(d) : bounding_box(d).centre();
  switch (kind) {
    case schedule::OrderKind::listed:
      return listed;
    case schedule::OrderKind::circle:
      return around(d, centre);
    case schedule::OrderKind::star:
      return star(d, centre);
    case schedule::OrderKind::centre_out:
      return circle ? star(d, centre) : CentreOut(d).order();
    case schedule::OrderKind::explicit_list:
      break;
  }
  throw std::logic_error("an explicit order has no rule");
}

std::vector<std::size_t> order_bolts(const schedule::Schedule& schedule, const schedule::OrderRule& rule,
                                     const std::vector<std::size_t>& chosen) {
  std::vector<std::size_t> out;
  if (rule.kind == schedule::OrderKind::explicit_list) {
    std::vector<bool> wanted(schedule.bolts.size(), false);
    for (const std::size_t bolt : chosen) wanted[bolt] = true;
    for (const std::size_t bolt : rule.bolts)
      if (wanted[bolt]) out.push_back(bolt);
  } else if (rule.kind == schedule::OrderKind::listed) {
    out = chosen;
  } else {
    std::vector<Point> points;
    points.reserve(chosen.size());
    for (const std::size_t bolt : chosen)
      points.push_back({units::to<units::Length>(*schedule.bolts[bolt].x),
                        units::to<units::Length>(*schedule.bolts[bolt].y)});
    for (const std::size_t place : order_points(rule.kind, points)) out.push_back(chosen[place]);
  }
  if (rule.reverse) std::reverse(out.begin(), out.end());
  return out;
}

}  // namespace clampbook::plan
