// A pull as one curve: torque over the angle of the head, one point for each half degree that was turned.
//
// Samples come as a logger wrote them: the ratchet lets go and winds back, the angle starts again at each
// stroke, a reading leaps, both signs may be the other way round. What a curve keeps is the outer edge: the
// torque while the head moved on. It is built from a stream, and grows with the angle turned, never with the
// number of samples.
//
// Inside this room angles are plain degrees and torques plain newton metres, as the names say: there are
// millions of them. Results leave as quantities.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

namespace clampbook::trace {

struct Sample {
  double degrees = 0;
  double newton_metres = 0;
};

struct CurvePoint {
  double degrees = 0;        ///< mean of the samples that pulled
  double newton_metres = 0;  ///< median of the samples that pulled
  double running = 0;        ///< median of all samples that moved on, pulled or not: for the run-down
};

struct Curve {
  std::vector<CurvePoint> points{};  ///< by rising angle, positive in the tightening direction
  double start = 0;                  ///< the first angle
  double end = 0;                    ///< the largest angle
  double end_torque = 0;             ///< at the last point
  std::size_t samples = 0;
  std::size_t restarts = 0;  ///< strokes that began a scale of their own
  std::size_t leaps = 0;     ///< samples left out: far off, and alone
  bool torque_flipped = false;
  bool angle_flipped = false;
  bool looks_swapped = false;  ///< angle goes to and fro while torque only rises
};

class CurveBuilder {
 public:
  static constexpr double kBin = 0.5;  ///< degrees
  static constexpr std::size_t kMostBins = 1 << 20;

  /// In the order of time.
  /// in      degrees and newton metres finite, at most 1e7 to either side
  void add(Sample sample);
  /// True when the angle went through more than kMostBins bins; what comes then is left out.
  [[nodiscard]] bool full() const { return curve_.points.size() >= kMostBins; }
  /// Call once, at the end.
  [[nodiscard]] Curve finish();

 private:
  // Not cleared when it is taken into use: `count` says what holds.
  struct Bin {
    static constexpr std::size_t kMost = 64;
    long index = 0;
    bool open = false;
    std::size_t count = 0, seen = 0, stride = 1;
    std::array<double, kMost> degrees, torques;
    std::array<bool, kMost> advanced;
  };

  void orient();
  void push(Sample sample);
  void returning(Sample sample);
  [[nodiscard]] bool loosening(Sample sample);
  void follow(Sample sample);
  void keep(Sample sample, bool advanced);
  void close(const Bin& bin);
  void close_before(long index);
  void add_to(Bin& bin, Sample sample, bool advanced);
  [[nodiscard]] Bin& bin_at(long index);
  [[nodiscard]] double level();

  Curve curve_;
  std::vector<Sample> prelude_;
  bool oriented_ = false, started_ = false;
  double angle_sign_ = 1, torque_sign_ = 1;

  double large_ = 0;       // half of the largest torques
  double highest_ = 0;     // of the points so far
  bool loosened_ = false;  // turned back by force, and not on again since

  double offset_ = 0;  // of the stroke's scale to the curve's
  double furthest_ = 0;
  std::optional<Sample> leap_{};
  std::array<Sample, 3> regained_{};
  std::size_t regained_count_ = 0;
  std::optional<Sample> before_regain_{};

  std::array<double, 8> pulls_{};  // torques of the last samples that moved on
  std::size_t pull_count_ = 0;
  double level_ = 0;  // their upper quartile, once asked for
  bool level_known_ = true;

  // Samples lie within 0.3° of the furthest: two bins, and one that begins.
  std::array<Bin, 4> bins_;
};

}  // namespace clampbook::trace
