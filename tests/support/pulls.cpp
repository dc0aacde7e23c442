#include "tests/support/pulls.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

namespace pulls {

namespace {

// Not the standard library's distributions: they differ from one library to the next.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15u + 0xD1B54A32D192ED03u) {}
  double uniform() {
    state_ += 0x9E3779B97F4A7C15u;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return (static_cast<double>(z >> 11) + 0.5) * 0x1.0p-53;
  }
  double between(double low, double high) { return low + (high - low) * uniform(); }
  double normal() { return std::sqrt(-2 * std::log(uniform())) * std::cos(2 * std::numbers::pi * uniform()); }

 private:
  std::uint64_t state_;
};

// One bolt without its logger. Load is a share f of the load at 0.2 % plastic strain:
//
//   angle(f) = elastic f + soft (1 - exp(-f/early)) + offset f^n        torque(f) = torque_02 f (1 + drift (f
//   - 0.45))
struct Bolt {
  double elastic, soft, early, offset, power, torque_02, drift;
  double contact;  // degrees of run-down

  explicit Bolt(Dice& dice)
      : elastic(dice.between(60, 135)),
        soft(dice.between(1, 14)),
        early(dice.between(0.02, 0.09)),
        offset(dice.between(11, 20)),
        power(dice.between(16, 34)),
        torque_02(dice.between(35, 140)),
        drift(dice.between(-0.05, 0.05)),
        contact(270) {}

  [[nodiscard]] double angle(double f) const {
    return contact + elastic * f + soft * (1 - std::exp(-f / early)) + offset * std::pow(f, power);
  }
  [[nodiscard]] double torque(double f) const { return torque_02 * f * (1 + drift * (f - 0.45)); }
  [[nodiscard]] double load_at(double degrees) const {
    double low = 0, high = 1.6;
    if (degrees <= contact) return 0;
    for (int i = 0; i < 40; ++i) {
      const double middle = (low + high) / 2;
      (angle(middle) < degrees ? low : high) = middle;
    }
    return (low + high) / 2;
  }
  [[nodiscard]] double slope(double f) const {
    constexpr double kStep = 1e-5;
    return (torque(f + kStep) - torque(f - kStep)) / (angle(f + kStep) - angle(f - kStep));
  }
};

void fill_truth(const Bolt& bolt, double end, Truth& truth) {
  // The straight line between 30 and 60 % of the load at 0.2 %, by least squares over equal angles.
  double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (double a = bolt.angle(0.3); a <= bolt.angle(0.6); a += 0.05) {
    const double t = bolt.torque(bolt.load_at(a));
    const double x = a - bolt.contact;
    n += 1, sx += x, sy += t, sxx += x * x, sxy += x * t;
  }
  truth.slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  truth.origin = bolt.contact + sx / n - sy / n / truth.slope;
  const auto away = [&](double f) { return bolt.angle(f) - (truth.origin + bolt.torque(f) / truth.slope); };
  double f = 0.3;
  while (f > 1e-4 && std::fabs(away(f)) <= 1.5) f -= 1e-4;
  truth.snug = std::max(bolt.angle(f), truth.origin);
  truth.offset = bolt.offset;
  if (bolt.angle(1) <= end) {
    truth.yield_02 = bolt.angle(1);
    truth.yield_02_torque = bolt.torque(1);
  }
  f = 0.5;
  while (bolt.slope(f) > truth.slope / 2) f += 1e-4;
  if (bolt.angle(f) <= end) {
    truth.half_slope = bolt.angle(f);
    truth.half_slope_torque = bolt.torque(f);
  }
}

class Maker {
 public:
  Maker(Kind kind, const Noise& noise, std::uint64_t seed)
      : kind_(kind), noise_(noise), dice_(seed * 16 + static_cast<std::uint64_t>(kind)), bolt_(dice_) {}

  Pull make() {
    shape();
    turn();
    return std::move(out_);
  }

 private:
  void shape() {
    start_ = 0;
    end_ = kind_ == Kind::elastic || kind_ == Kind::bottomed ? bolt_.angle(dice_.between(0.5, 0.75))
                                                             : bolt_.angle(1) + dice_.between(15, 70);
    drag_ = dice_.between(0.1, 0.5);
    Truth& truth = out_.truth;
    switch (kind_) {
      case Kind::yielding:
        truth.verdict = "sound";
        break;
      case Kind::elastic:
        truth.verdict = "not_yielded";
        break;
      case Kind::prevailing:
        truth.verdict = "prevailing";
        drag_ += dice_.between(2.5, 8);
        break;
      case Kind::cross_threaded:
        truth.verdict = "cross_threaded";
        uneven_ = 1 + bolt_.torque_02 * dice_.between(0.025, 0.07);
        break;
      case Kind::stripped:
        truth.verdict = "stripped";
        fault_ = bolt_.angle(dice_.between(0.55, 0.85));
        end_ = fault_ + dice_.between(25, 60);
        break;
      case Kind::bottomed:
        truth.verdict = "bottomed";
        fault_ = bolt_.angle(dice_.between(0.3, 0.45));
        end_ = fault_ + dice_.between(20, 40) * bolt_.elastic / 100;
        break;
      case Kind::retightened:
        truth.verdict = "retightened";
        tight_ = dice_.between(0.6, 0.85);
        start_ = bolt_.angle(tight_) - 2;
        end_ = bolt_.angle(tight_) + dice_.between(12, 30);
        break;
    }
    fill_truth(bolt_, end_, truth);
    truth.end = end_;
    truth.prevailing = drag_;
    if (kind_ == Kind::stripped || kind_ == Kind::bottomed || kind_ == Kind::retightened)
      truth.half_slope = truth.half_slope_torque = truth.yield_02 = truth.yield_02_torque = std::nullopt;
    for (double a = start_; a <= end_; a += 0.25) truth.peak = std::max(truth.peak, clean(a));
  }

  // Without noise; `a` while turning on.
  [[nodiscard]] double clean(double a) const {
    double torque = bolt_.torque(bolt_.load_at(a)) + drag_;
    if (uneven_ > 0) {
      // Grows as the crossed turns are forced, and lumps once a turn.
      const double travelled = std::clamp(a, 40.0, bolt_.contact);
      torque += uneven_ * (travelled - 40) / (bolt_.contact - 40) * (1 + 0.5 * std::sin(travelled / 17));
    }
    if (fault_ > 0 && a > fault_) {
      const double past = a - fault_;
      const double there = bolt_.torque(bolt_.load_at(fault_)) + drag_;
      if (kind_ == Kind::stripped) torque = there * (0.35 + 0.65 * std::exp(-past / 14));
      if (kind_ == Kind::bottomed) torque = there + past * 2.6 * out_.truth.slope;
    }
    if (kind_ == Kind::retightened && a < bolt_.angle(tight_))
      torque = clean_tight() * std::clamp((a - start_) / 2, 0.0, 1.0);
    return torque;
  }
  [[nodiscard]] double clean_tight() const { return bolt_.torque(tight_) + drag_; }

  void turn() {
    const double step = dice_.between(0.15, 0.5);
    const int pauses = static_cast<int>(dice_.between(0, 7));
    double next_pause = pauses == 0 ? 1e9 : dice_.between(150, 250);
    double saw = 0, period = dice_.between(1, 4);
    for (double a = start_; a <= end_;) {
      const double torque = clean(a);
      saw += (a < bolt_.contact ? 1.0 : step) / period;
      if (saw > 1) {
        saw = 0;
        period = dice_.between(1, 4);
      }
      const double slip = a > bolt_.contact ? noise_.stick_slip * (saw - 0.5) : 0;
      sample(a, torque * (1 + slip));
      if (a > next_pause && a < end_ - 8) {
        pause(a, torque);
        next_pause = a + (end_ - 200) / pauses * dice_.between(0.7, 1.3);
      }
      a += (a < bolt_.contact ? 1.0 : step) * dice_.between(0.7, 1.3);
    }
  }

  // Let off, wound back, taken up again with a breakaway peak.
  void pause(double a, double torque) {
    const double back = 0.3 + 2.2 * torque / (bolt_.torque_02 + 10);
    const double steps = 8;
    for (double i = 1; i <= steps; ++i) sample(a - back * i / steps, torque * (1 - i / steps));
    for (int i = 0; i < 40; ++i) sample(a - back, 0);
    for (double i = 1; i <= steps; ++i) sample(a - back + back * i / steps, torque * i / steps);
    sample(a, torque * (1 + dice_.between(0.0, 0.04)));
  }

  void sample(double degrees, double torque) {
    seconds_ += 0.005;
    if (dice_.uniform() < 0.02) return;  // lost
    const double floor = torque == 0 ? 0.3 : 1;
    const double noise = std::hypot(noise_.torque * torque, floor * noise_.torque_floor_Nm) * dice_.normal();
    const auto coarse = [](double x) { return std::round(x * 10) / 10; };
    out_.readings.push_back(
        {seconds_, coarse(degrees + noise_.angle_deg * dice_.normal()), coarse(torque + noise)});
  }

  Kind kind_;
  Noise noise_;
  Dice dice_;
  Bolt bolt_;
  double start_ = 0, end_ = 0, drag_ = 0, uneven_ = 0, fault_ = 0, tight_ = 0, seconds_ = 0;
  Pull out_{};
};

}  // namespace

Pull make(Kind kind, const Noise& noise, std::uint64_t seed) {
  return Maker(kind, noise, seed).make();
}

std::string csv(const Pull& pull) {
  std::string out = "time_s,angle_deg,torque_Nm\n";
  for (const Reading& r : pull.readings)
    fmt::format_to(std::back_inserter(out), "{:.3f},{:.1f},{:.1f}\n", r.seconds, r.degrees, r.newton_metres);
  return out;
}

}  // namespace pulls
