// Readings of bolts whose truth is known, from a model that is not the analyser's: both frictions scatter by
// themselves, the wrench is off by its calibration, figures are rounded, the knee is round, and half of the
// torsion, more or less, springs back. Invented joints.
#pragma once

#pragma once

#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/joint/posterior.h>
#include <clampbook/joint/random.h>
#include <clampbook/joint/scatter.h>
#include <clampbook/joint/thread_name.h>

#include <cmath>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

namespace clampbook::tests {

using namespace joint;

struct SimulatedJoint {
  std::string name;
  BoltPrior prior;
  Torque torque;
  std::vector<Angle> angles;
};

struct Truth {
  double preload = 0;  // N
  double friction = 0;
  bool yielded = false;
};

struct Lot {
  double friction = 0.12;      // of the batch, both faces
  double own_friction = 0.08;  // from bolt to bolt, standard deviation of the logarithm
  double stiffness = 0.05, wrench = 0.015, strength = 0.03;
  double torque_noise = 0.01, angle_noise = 1.2;  // share; degrees
};

class Simulator {
 public:
  explicit Simulator(std::uint64_t seed) : random_(seed) {}

  double normal() { return normal_quantile(random_.uniform()); }

  // What all bolts of a group share.
  void new_group(const Lot& lot) {
    lot_ = lot;
    stiffness_ = 1 + lot.stiffness * normal();
    wrench_ = 1 + lot.wrench * normal();
    strength_ = 1.05 * (1 + lot.strength * normal());
  }

  BoltEvidence pull(const SimulatedJoint& joint, Truth& truth, double friction_factor = 1) {
    const auto own = [&] { return lot_.friction * friction_factor * std::exp(lot_.own_friction * normal()); };
    const double thread = own(), seat = 0.3 * thread + 0.7 * own();
    const BoltPrior& p = joint.prior;
    const TighteningModel model(p.geometry.softened(1 / stiffness_), p.thread,
                                {ThreadFriction(thread), SeatFriction(seat), p.seat_diameter},
                                scaled(p.strength, strength_ * (1 + 0.01 * normal())));
    BoltEvidence out;
    const auto torque_read = [&](Torque t) {
      const double read =
          units::value_in(t, units::newton_metre) * wrench_ * (1 + lot_.torque_noise * normal());
      return units::of(std::round(read * 10) / 10, units::newton_metre);
    };
    // The hand stops near the target, as the wrench shows it.
    const Torque shown = joint.torque * (1 + 0.01 * normal());
    TighteningState state = model.torque({}, shown / wrench_);
    out.start =
        units::of(std::round(units::value_in(shown, units::newton_metre) * 10) / 10, units::newton_metre);
    for (const Angle& angle : joint.angles) {
      const double turned = units::value_in(angle, units::degree) + 2 * normal();
      const Angle rewound = model.spring_back(state, 0.5 + 0.05 * normal());
      state = model.angle(
          state, std::max<Angle>(units::of(turned, units::degree) - rewound, units::of(0, units::degree)));
      out.angles.push_back(units::of(std::round(turned + lot_.angle_noise * normal()), units::degree));
    }
    const double yield = units::value_in(*model.yield_preload(), units::newton);
    double preload = units::value_in(state.preload, units::newton);
    // A real knee is round: 3 % less where the sharp one is, and nothing 25 degrees away (common practice).
    const double past = preload / yield;
    const double elastic = units::value_in(state.preload * model.elastic_angle(), units::degree);
    const double from_knee = past > 1 ? units::value_in(model.angle_at(state), units::degree) - elastic
                                      : (yield - preload) / preload * elastic;
    preload *= 1 - 0.03 * std::exp(-std::pow(from_knee / 12, 2));
    truth = {preload, (thread + seat) / 2, past > 1};
    out.final = torque_read(units::of(preload, units::newton) * model.lever());
    return out;
  }

 private:
  RandomSequence random_;
  Lot lot_;
  double stiffness_ = 1, wrench_ = 1, strength_ = 1.05;
};

inline SimulatedJoint simulated_joint(std::string name, std::string_view thread_name, double grip_mm,
                                      double shank_mm, double outer_mm, double torque,
                                      std::vector<double> degrees, double sigma) {
  const Thread thread = find_thread(thread_name)->thread;
  const Length d = thread.diameter();
  const Stress iron = units::of(105, units::gigapascal);
  const auto mm = [](double x) { return units::of(x, units::millimetre); };
  const Length seat = find_standard_head(HeadShape::hexagon, thread)->seat_outer;
  const Length hole = *find_clearance_hole(thread);
  const BoltGeometry bolt{thread, HeadShape::hexagon, {{mm(shank_mm), d}}, mm(grip_mm)};
  const ClampedParts parts{{{mm(grip_mm), mm(outer_mm), iron}}, seat, hole, Receiver::tapped, iron};
  SimulatedJoint out{std::move(name),
                     {thread, mean_seat_diameter(seat, hole), 0.12, 0.12, sigma,
                      TighteningGeometry::from(bolt, parts), *find_strength("10.9", d)},
                     units::of(torque, units::newton_metre),
                     {}};
  for (const double angle : degrees) out.angles.push_back(units::of(angle, units::degree));
  return out;
}

/// Invented joints: two that end past yield, one elastic with a long turn, one with a short turn.
inline std::vector<SimulatedJoint> simulated_joints(double sigma) {
  return {simulated_joint("M10, past yield", "M10", 80, 50, 30, 30, {60, 60}, sigma),
          simulated_joint("M8, past yield", "M8", 50, 25, 26, 20, {120}, sigma),
          simulated_joint("M12, elastic, 35 deg", "M12", 70, 40, 36, 50, {35}, sigma),
          simulated_joint("M8, elastic, 15 deg", "M8", 60, 30, 26, 15, {15}, sigma)};
}

/// What estimates of groups of `size` bolts were worth.
struct EstimateFigures {
  double bias = 0, deviation = 0, p90 = 0;  ///< of the preload, per cent
  double friction_deviation = 0;            ///< per cent
  double coverage = 0;                      ///< share of the truths inside the 90 % interval
  double yield_right = 0;                   ///< share of the calls (over or under one half) that were right
  double withheld = 0;                      ///< share
  std::size_t bolts = 0;
};

inline EstimateFigures figures_of(const SimulatedJoint& joint, const Lot& lot, std::size_t groups,
                                  std::size_t size, std::uint64_t seed, double batch_sigma = 0.15) {
  Simulator simulator(seed);
  EstimateFigures out;
  std::vector<double> errors, frictions;
  std::size_t inside = 0, right = 0, withheld = 0;
  for (std::size_t g = 0; g < groups; ++g) {
    Lot batch = lot;
    batch.friction *= std::exp(batch_sigma * simulator.normal());
    simulator.new_group(batch);
    std::vector<BoltEvidence> evidence;
    std::vector<Truth> truths(size);
    for (Truth& truth : truths) evidence.push_back(simulator.pull(joint, truth));
    const GroupPosterior posterior = estimate_group(joint.prior, evidence);
    for (std::size_t b = 0; b < size; ++b) {
      const auto& estimate = posterior.bolts[b];
      if (!estimate) {
        ++withheld;
        continue;
      }
      errors.push_back(100 * (estimate->preload.median / truths[b].preload - 1));
      if (estimate->friction)
        frictions.push_back(100 * (estimate->friction->median / truths[b].friction - 1));
      inside +=
          truths[b].preload >= estimate->preload.p5 && truths[b].preload <= estimate->preload.p95 ? 1U : 0U;
      right += (estimate->yielded > 0.5) == truths[b].yielded ? 1U : 0U;
    }
  }
  const auto n = static_cast<double>(errors.size());
  const auto deviation = [](const std::vector<double>& v) {
    double mean = 0, sum = 0;
    for (const double x : v) mean += x / static_cast<double>(v.size());
    for (const double x : v) sum += (x - mean) * (x - mean);
    return std::pair(mean, std::sqrt(sum / static_cast<double>(v.size() - 1)));
  };
  std::tie(out.bias, out.deviation) = deviation(errors);
  out.friction_deviation = deviation(frictions).second;
  std::vector<double> sizes;
  for (const double x : errors) sizes.push_back(std::fabs(x));
  out.p90 = quantile(sizes, 0.9);
  out.bolts = groups * size;
  out.coverage = static_cast<double>(inside) / n;
  out.yield_right = static_cast<double>(right) / n;
  out.withheld = static_cast<double>(withheld) / static_cast<double>(out.bolts);
  return out;
}

}  // namespace clampbook::tests
