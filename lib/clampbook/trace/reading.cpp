#include <clampbook/trace/reading.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace clampbook::trace {

using units::degree;
using units::newton_metre;
using units::of;

std::string_view name(Verdict verdict) {
  switch (verdict) {
    case Verdict::too_short:
      return "too_short";
    case Verdict::retightened:
      return "retightened";
    case Verdict::stripped:
      return "stripped";
    case Verdict::bottomed:
      return "bottomed";
    case Verdict::cross_threaded:
      return "cross_threaded";
    case Verdict::prevailing:
      return "prevailing";
    case Verdict::sound:
      return "sound";
    case Verdict::not_yielded:
      return "not_yielded";
  }
  throw std::logic_error("a verdict without a name");
}

bool is_fault(Verdict verdict) {
  return verdict == Verdict::too_short || verdict == Verdict::stripped || verdict == Verdict::bottomed ||
         verdict == Verdict::cross_threaded;
}

namespace {

constexpr double kLeastRunDown = 60;  // degrees
// A thread is judged on what lies this far before the elastic origin: a soft gasket closes over 20° to 40°
// and looks like a thread that tightens.
constexpr double kGasket = 45;
// Degrees behind half the torque of a bolt that was tight already, where it turns at last.
constexpr double kWoundUp = 3;

class CurveReader {
 public:
  explicit CurveReader(const Curve& curve) : curve_(curve), all_(curve.points) {}

  TraceReading read() {
    out_.end = of(curve_.end, degree);
    out_.end_torque = of(curve_.end_torque, newton_metre);
    source_notes();
    for (const CurvePoint& p : all_) out_.peak = std::max(out_.peak, of(p.newton_metres, newton_metre));
    if (curve_.looks_swapped)
      return too_short("the angle goes to and fro while the torque only rises: are the two columns swapped?");
    if (all_.size() < 4) return too_short("fewer than 4 half degrees were turned");
    find_peak();
    out_.peak = of(peak_torque_, newton_metre);
    if (peak_torque_ <= 0) return too_short("no torque at all");
    run_down_ = run_down(all_, peak_torque_);
    if (run_down_.length >= kLeastRunDown) {
      base_ = run_down_.torque;
      out_.prevailing = of(base_, newton_metre);
    }
    if (peak_torque_ - base_ < 6 * run_down_.deviation)
      return too_short("torque hardly rises above its noise");
    retightened_ = retightened();
    rise();
    if (!elastic()) {
      if (!retightened_) return too_short("no straight rise was found");
      decide();
      return std::move(out_);
    }
    thread();
    if (const auto rough = half_slope_angle(points_, gradient_, *out_.elastic)) {
      refine(yield_torque(*rough));
      yield();
    }
    snug();
    decide();
    return std::move(out_);
  }

 private:
  TraceReading too_short(std::string why) {
    out_.verdict = Verdict::too_short;
    out_.notes.push_back(std::move(why));
    return std::move(out_);
  }

  void source_notes() {
    if (curve_.torque_flipped) out_.notes.emplace_back("torque is negative in the file: its sign was turned");
    if (curve_.angle_flipped)
      out_.notes.emplace_back("the angle falls in the file while the bolt is tightened: its sign was turned");
    if (curve_.restarts > 0)
      out_.notes.push_back(
          fmt::format("the angle starts again {} times: the strokes were joined where the torque "
                      "of the one before came back",
                      curve_.restarts));
    if (curve_.leaps > 0)
      out_.notes.push_back(fmt::format("{} readings leap far ahead and alone: left out", curve_.leaps));
  }

  // Of lines three degrees long, so that a breakaway peak or a spike does not count.
  void find_peak() {
    const LineFits fits(all_);
    const std::vector<CurvePoint> smooth = smoothed(all_, fits, 3);
    for (std::size_t i = 0; i < smooth.size(); ++i) {
      if (i > 0 && smooth[i].newton_metres <= peak_torque_) continue;
      peak_torque_ = smooth[i].newton_metres;
      peak_ = i;
    }
  }

  // Only what lies near the rise is fitted: a long run-down costs nothing.
  void rise() {
    const double from = retightened_ ? tight_from_ : run_down_.seat - 120;
    std::size_t first = 0;
    while (first < peak_ && all_[first].degrees < from) ++first;
    points_ = all_.subspan(first);
    peak_ -= first;
    fits_.emplace(points_);
    gradient_ = gradient(points_, *fits_, base_, peak_);
    out_.window = gradient_.window;
  }

  // Of the points whose torque is between two shares of the rise; 0 when they are fewer than three.
  [[nodiscard]] double gradient_quantile(double low_share, double high_share, double share) const {
    std::vector<double> values;
    for (std::size_t i = 0; i <= peak_; ++i) {
      const double reached = (points_[i].newton_metres - base_) / (peak_torque_ - base_);
      if (reached >= low_share && reached <= high_share) values.push_back(gradient_.values[i]);
    }
    return values.size() < 3 ? 0 : quantile(values, share);
  }

  bool elastic() {
    std::vector<double> values;
    for (std::size_t i = 0; i <= peak_; ++i)
      if (points_[i].newton_metres > base_ + 0.25 * (peak_torque_ - base_))
        values.push_back(gradient_.values[i]);
    double reference = quantile(values, retightened_ ? 0.5 : 0.8);
    const double low = gradient_quantile(0.2, 0.38, 0.5);
    bottomed_ = !retightened_ && low > 0 && gradient_quantile(0.7, 1.0, 0.5) > 1.6 * low;
    // Where the bolt touches early, half of that band is steep already.
    if (bottomed_) reference = gradient_quantile(0.1, 0.38, 0.35);
    if (!(reference > 0)) return false;
    out_.elastic = elastic_part(points_, gradient_, reference, base_, peak_);
    if (!out_.elastic) return false;
    place_line();
    return true;
  }

  void place_line() {
    const ElasticPart& part = *out_.elastic;
    origin_ = part.line.angle_at(base_);
    out_.slope = of(part.line.slope, units::newton_metre_per_degree);
    out_.elastic_origin = of(origin_, degree);
  }

  void snug() {
    if (retightened_) return;  // the parts met in an earlier pull
    const double window = std::max(2.5, gradient_.window / 3);
    if (const auto snug = snug_angle(smoothed(points_, *fits_, window), *out_.elastic, base_)) {
      const double torque = std::max(torque_near(points_, *fits_, *snug, 1.5), 0.0);
      out_.snug = CurvePlace{of(torque, newton_metre), of(*snug, degree)};
    }
  }

  void thread() {
    if (run_down_.length < kLeastRunDown) return;
    thread_ = run_down(all_, peak_torque_, std::min(origin_ - kGasket, run_down_.seat - 25));
    if (thread_.length < kLeastRunDown / 2) thread_ = run_down_;
    const double limit = std::max(0.8, 0.012 * peak_torque_);
    // A crossed thread forces its way: late in the run-down it turns harder than the median says.
    runs_hard_ = thread_.torque > limit || thread_.torque + thread_.trend > 1.5 * limit;
    uneven_ =
        std::fabs(thread_.trend) > 0.35 * thread_.torque || thread_.deviation > 0.2 * 1.4826 * thread_.torque;
  }

  // The torque that the bolt holds already is taken up within a few degrees, by torsion alone; the rise that
  // counts comes behind that.
  [[nodiscard]] bool retightened() {
    for (const CurvePoint& p : all_) {
      if (p.degrees > curve_.start + 4) return false;
      if (p.newton_metres <= 0.5 * peak_torque_) continue;
      tight_from_ = p.degrees + kWoundUp;
      return true;
    }
    return false;
  }

  [[nodiscard]] bool stripped() const {
    return curve_.end - points_[peak_].degrees >= 5 && end_level() < 0.88 * peak_torque_;
  }

  [[nodiscard]] double end_level() const {
    std::vector<double> last;
    for (std::size_t i = points_.size(); i-- > 0 && points_[i].degrees > points_.back().degrees - 2.5;)
      last.push_back(points_[i].newton_metres);
    return median(last);
  }

  // Once the knee is known, the middle of the rise below it is the straightest part there is.
  // Rough noise is a share of the torque (stick-slip): each point counts by the inverse of its square.
  [[nodiscard]] Line weighted(std::size_t first, std::size_t last) const {
    const Line rough = fits_->fit(first, last);
    double n = 0, x = 0, y = 0, xx = 0, xy = 0;
    for (const CurvePoint& p : points_.subspan(first, last - first)) {
      const double size = std::max(rough.torque_at(p.degrees), 0.1 * peak_torque_);
      const double weight = 1 / (size * size), a = p.degrees - rough.degrees;
      n += weight;
      x += weight * a;
      y += weight * p.newton_metres;
      xx += weight * a * a;
      xy += weight * a * p.newton_metres;
    }
    return {(xy - x * y / n) / (xx - x * x / n), rough.degrees + x / n, y / n};
  }

  void refine(double yield_torque) {
    // In rough noise length is worth more than straightness.
    const double low = gradient_.window > 8 ? 0.22 : 0.25, high = gradient_.window > 8 ? 0.85 : 0.75;
    ElasticPart& part = *out_.elastic;
    const double rise = yield_torque - base_;
    const auto smooth = smoothed(points_, *fits_, gradient_.window / 2);
    std::size_t first = 0;
    while (first < peak_ && smooth[first].newton_metres < base_ + low * rise) ++first;
    std::size_t last = first;
    while (last < peak_ && smooth[last].newton_metres < base_ + high * rise) ++last;
    if (last < first + 8 || points_[last].degrees - points_[first].degrees < 10) return;
    part.line = gradient_.window > 8 ? weighted(first, last) : fits_->fit(first, last);
    place_line();
  }

  [[nodiscard]] double yield_torque(double angle) const {
    return torque_near(points_, *fits_, angle, std::max(2.0, gradient_.window / 4));
  }

  void yield() {
    const ElasticPart& part = *out_.elastic;
    const auto by_gradient = half_slope_angle(points_, gradient_, part);
    if (!by_gradient) return;
    double angle = *by_gradient;
    if (const auto by_knee = knee_angle(points_, part.first, 15 + 1.5 * gradient_.window, angle)) {
      // The knee averages over many points where the gradient sees a few; when the two are far apart, it was
      // laid through something else.
      if (std::fabs(*by_knee - angle) <= 12) angle = *by_knee;
    }
    out_.yield = CurvePlace{of(yield_torque(angle), newton_metre), of(angle, degree)};
  }

  void decide() {
    if (retightened_) {
      out_.verdict = Verdict::retightened;
      out_.notes.emplace_back(
          "over half of the torque stands within 4° of the start: slope and origin are rough");
    } else if (stripped()) {
      out_.verdict = Verdict::stripped;
      out_.notes.emplace_back(
          "torque fell and did not come back: a thread or the bolt gave way; whether the bolt "
          "yielded before cannot be told");
    } else if (bottomed_) {
      out_.verdict = Verdict::bottomed;
      out_.notes.emplace_back(
          "torque grows much stiffer on the way: the bolt touches ground or runs out of thread; "
          "from there on torque is no clamp load");
    } else if (runs_hard_ && uneven_) {
      out_.verdict = Verdict::cross_threaded;
      out_.notes.emplace_back(
          "the torque of the run-down is high and uneven: part of the end torque is lost in the thread");
    } else if (runs_hard_) {
      out_.verdict = Verdict::prevailing;
    } else {
      out_.verdict = out_.yield ? Verdict::sound : Verdict::not_yielded;
    }
    // A knee that a fault made is not the bolt's.
    if (out_.verdict == Verdict::retightened || out_.verdict == Verdict::stripped ||
        out_.verdict == Verdict::bottomed)
      out_.yield.reset();
  }

  const Curve& curve_;
  std::span<const CurvePoint> all_, points_{};
  std::size_t peak_ = 0;  // in all_, then in points_
  double peak_torque_ = 0, base_ = 0, origin_ = 0;
  RunDown run_down_{}, thread_{};
  std::optional<LineFits> fits_{};
  Gradient gradient_{};
  double tight_from_ = 0;
  bool retightened_ = false, bottomed_ = false, runs_hard_ = false, uneven_ = false;
  TraceReading out_{};
};

}  // namespace

TraceReading read_curve(const Curve& curve) {
  return CurveReader(curve).read();
}

std::optional<CurvePlace> offset_yield(const Curve& curve, const TraceReading& reading, units::Angle offset) {
  const Verdict v = reading.verdict;
  if (!reading.elastic || v == Verdict::retightened || v == Verdict::stripped || v == Verdict::bottomed ||
      v == Verdict::cross_threaded)
    return std::nullopt;
  const std::span<const CurvePoint> points(curve.points);
  const auto from = std::lower_bound(points.begin(), points.end(), reading.elastic->line.degrees,
                                     [](const CurvePoint& p, double a) { return p.degrees < a; });
  const auto rise = points.subspan(static_cast<std::size_t>(from - points.begin()));
  ElasticPart part = *reading.elastic;
  part.first = part.last = 0;
  const LineFits fits(rise);
  const std::vector<CurvePoint> smooth = smoothed(rise, fits, reading.window);
  const auto angle = offset_crossing(smooth, part, value_in(offset, degree));
  if (!angle) return std::nullopt;
  return CurvePlace{of(torque_near(rise, fits, *angle, std::max(2.0, reading.window / 4)), newton_metre),
                    of(*angle, degree)};
}

}  // namespace clampbook::trace
