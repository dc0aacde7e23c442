#include <clampbook/trace/curve.h>
#include <clampbook/trace/statistics.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace clampbook::trace {

namespace {

// How many samples are looked at before it is said which way is up.
constexpr std::size_t kPrelude = 1 << 16;
// Samples closer than this to the furthest angle belong to the edge.
constexpr double kEdge = 0.3;
// A bolt winds back by one to three degrees when the wrench lets go; more than this is a return.
constexpr double kReturn = 4;
// One sample alone that is so far ahead is a slip of the logger.
constexpr double kLeap = 30;
// More than this between two samples is no turn of the wrench.
constexpr double kStep = 20;
// A new stroke has taken up the pull when it reads this share of what the last one ended with.
constexpr double kRegained = 0.97;

// How often a series turns round.
class Reversals {
 public:
  void add(double value) {
    const double step = value - last_;
    if (step * direction_ < 0) ++count_;
    if (step != 0) direction_ = step;
    last_ = value;
  }
  [[nodiscard]] std::size_t count() const { return count_; }

 private:
  double last_ = 0, direction_ = 0;
  std::size_t count_ = 0;
};

}  // namespace

void CurveBuilder::add(Sample sample) {
  ++curve_.samples;
  if (oriented_) {
    push({sample.degrees * angle_sign_, sample.newton_metres * torque_sign_});
    return;
  }
  prelude_.push_back(sample);
  if (prelude_.size() == kPrelude) orient();
}

// Torque is up where it is large; the head turns the way in which that torque does work.
void CurveBuilder::orient() {
  oriented_ = true;
  if (prelude_.empty()) return;
  std::vector<double> sizes;
  sizes.reserve(prelude_.size());
  for (const Sample& s : prelude_) sizes.push_back(std::fabs(s.newton_metres));
  large_ = 0.5 * quantile(sizes, 0.995);
  std::vector<double> torques;
  for (const Sample& s : prelude_)
    if (std::fabs(s.newton_metres) >= large_) torques.push_back(s.newton_metres);
  if (median(torques) < 0) torque_sign_ = -1;
  // The wrench does work on the bolt, whichever way it turns; a scale that starts anew does none.
  double work = 0;
  for (std::size_t i = 1; i < prelude_.size(); ++i) {
    const double turned = prelude_[i].degrees - prelude_[i - 1].degrees;
    if (std::fabs(turned) < kStep)
      work += turned * (prelude_[i].newton_metres + prelude_[i - 1].newton_metres);
  }
  if (work * torque_sign_ < 0) angle_sign_ = -1;
  // Where two columns changed places, "angle" is a torque that trembles, and "torque" an angle that rises.
  Reversals angle, torque;
  for (const Sample& s : prelude_) {
    angle.add(s.degrees);
    torque.add(s.newton_metres);
  }
  curve_.looks_swapped =
      prelude_.size() >= 20 && angle.count() > prelude_.size() / 10 && torque.count() < angle.count() / 4;
  curve_.angle_flipped = angle_sign_ < 0;
  curve_.torque_flipped = torque_sign_ < 0;
  for (const Sample& s : prelude_) push({s.degrees * angle_sign_, s.newton_metres * torque_sign_});
  prelude_ = {};
}

void CurveBuilder::push(Sample sample) {
  sample.degrees += offset_;
  if (!started_) {
    started_ = true;
    furthest_ = curve_.start = sample.degrees;
  }
  if (leap_) {
    const Sample held = *leap_;
    leap_.reset();
    if (sample.degrees > furthest_ + kLeap / 2) {
      follow(held);
    } else {
      ++curve_.leaps;
    }
  } else if (sample.degrees > furthest_ + kLeap) {
    leap_ = sample;
    return;
  }
  if (loosening(sample)) return;
  if (sample.degrees < furthest_ - kReturn) {
    returning(sample);
  } else {
    regained_count_ = 0;
    before_regain_.reset();
    follow(sample);
  }
}

// Turned back against the thread. Before a pull the curve begins anew where the turning back ends; behind one
// it is over, unless the bolt is turned on again past where it was.
bool CurveBuilder::loosening(Sample sample) {
  if (!loosened_) {
    if (sample.degrees > furthest_ - kReturn || sample.newton_metres > -0.4 * large_) return false;
    loosened_ = true;
  }
  const bool pulled = highest_ > large_;
  if (pulled ? sample.degrees >= furthest_ - kReturn : sample.degrees > furthest_ + 1) {
    loosened_ = false;
    return false;
  }
  if (!pulled && sample.degrees < furthest_) {
    furthest_ = curve_.start = sample.degrees;
    curve_.points.clear();
    for (Bin& bin : bins_) bin.open = false;
    pull_count_ = 0;
  }
  return true;
}

// Far behind the furthest angle. Either the bolt is turned back and on again, and torque comes back where it
// was; or the scale began anew, and torque comes back well before: then that is where the last stroke ended.
void CurveBuilder::returning(Sample sample) {
  if (sample.newton_metres < kRegained * level()) {
    regained_count_ = 0;
    before_regain_ = sample;
    return;
  }
  regained_[regained_count_++] = sample;
  if (regained_count_ < regained_.size()) return;
  double regained = regained_.front().degrees;
  if (before_regain_ && regained > before_regain_->degrees) {
    const double rise = regained_.front().newton_metres - before_regain_->newton_metres;
    const double missing = kRegained * level() - before_regain_->newton_metres;
    if (rise > 0)
      regained = std::lerp(before_regain_->degrees, regained, std::clamp(missing / rise, 0.0, 1.0));
  }
  const double shift = furthest_ - regained;
  offset_ += shift;
  ++curve_.restarts;
  regained_count_ = 0;
  before_regain_.reset();
  for (Sample s : regained_) {
    s.degrees += shift;
    follow(s);
  }
}

void CurveBuilder::follow(Sample sample) {
  const bool advanced = sample.degrees > furthest_ || pull_count_ == 0;
  if (advanced) {
    furthest_ = std::max(furthest_, sample.degrees);
    pulls_[pull_count_++ % pulls_.size()] = sample.newton_metres;
    level_known_ = false;
  }
  if (sample.degrees < furthest_ - kEdge) return;
  // Standing still with the torque let off: hours of it must not outvote the moment of the pull.
  if (!advanced && sample.newton_metres < 0.6 * level()) return;
  keep(sample, advanced);
}

double CurveBuilder::level() {
  if (level_known_) return level_;
  std::array<double, 8> sorted = pulls_;
  const std::size_t count = std::min(pull_count_, sorted.size());
  level_ = quantile({sorted.data(), count}, 0.75);
  level_known_ = true;
  return level_;
}

void CurveBuilder::keep(Sample sample, bool advanced) {
  Bin& bin = bin_at(static_cast<long>(std::floor(sample.degrees / kBin)));
  if (bin.seen++ % bin.stride == 0) add_to(bin, sample, advanced);
}

CurveBuilder::Bin& CurveBuilder::bin_at(long index) {
  for (Bin& bin : bins_)
    if (bin.open && bin.index == index) return bin;
  close_before(static_cast<long>(std::floor((furthest_ - kEdge) / kBin)));
  Bin& free = *std::find_if(bins_.begin(), bins_.end(), [](const Bin& b) { return !b.open; });
  free.index = index;
  free.open = true;
  free.count = free.seen = 0;
  free.stride = 1;
  return free;
}

void CurveBuilder::add_to(Bin& bin, Sample sample, bool advanced) {
  if (bin.count == Bin::kMost) {  // every second one goes, and from now on comes
    for (std::size_t i = 0; i < Bin::kMost / 2; ++i) {
      bin.degrees[i] = bin.degrees[2 * i];
      bin.torques[i] = bin.torques[2 * i];
      bin.advanced[i] = bin.advanced[2 * i];
    }
    bin.count = Bin::kMost / 2;
    bin.stride *= 2;
  }
  bin.degrees[bin.count] = sample.degrees;
  bin.torques[bin.count] = sample.newton_metres;
  bin.advanced[bin.count++] = advanced;
}

void CurveBuilder::close_before(long index) {
  for (;;) {
    Bin* lowest = nullptr;
    for (Bin& bin : bins_)
      if (bin.open && bin.index < index && (lowest == nullptr || bin.index < lowest->index)) lowest = &bin;
    if (lowest == nullptr) return;
    lowest->open = false;
    close(*lowest);
  }
}

void CurveBuilder::close(const Bin& bin) {
  if (full()) return;
  std::array<double, Bin::kMost> torques;  // filled as far as counted
  std::copy_n(bin.torques.begin(), bin.count, torques.begin());
  const double top = quantile({torques.data(), bin.count}, bin.count > 8 ? 0.95 : 1.0);
  const double least = std::min(0.9 * top, top);  // below zero nine tenths lie above the top
  double angles = 0;
  std::size_t kept = 0, moved = 0;
  for (std::size_t i = 0; i < bin.count; ++i) {
    moved += bin.advanced[i] ? 1U : 0U;
    if (bin.torques[i] < least) continue;
    angles += bin.degrees[i];
    torques[kept++] = bin.torques[i];
  }
  CurvePoint point;
  point.degrees = angles / static_cast<double>(kept);
  point.newton_metres = point.running = median({torques.data(), kept});
  if (kept < bin.count || (moved > 0 && moved < bin.count)) {
    std::size_t count = 0;
    for (std::size_t i = 0; i < bin.count; ++i)
      if (bin.advanced[i] || moved == 0) torques[count++] = bin.torques[i];
    point.running = median({torques.data(), count});
  }
  if (!curve_.points.empty() && point.degrees <= curve_.points.back().degrees) return;
  curve_.points.push_back(point);
  highest_ = std::max(highest_, point.newton_metres);
}

Curve CurveBuilder::finish() {
  if (!oriented_) orient();
  close_before(std::numeric_limits<long>::max());
  curve_.end = furthest_;
  if (!curve_.points.empty()) curve_.end_torque = curve_.points.back().newton_metres;
  return std::move(curve_);
}

}  // namespace clampbook::trace
