// What estimates of twenty bolts cost beside what their grid can't do without: each cell's tightening, once,
// for each bolt. Prints one JSON object; exits 1 when twenty bolts take over 100 ms.
#include "tests/support/simulated_bolts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <ctime>

using namespace clampbook::tests;

namespace {

constexpr std::size_t kBolts = 20, kRuns = 9, kCells = 61 * 11 * 11;
constexpr double kMost = 100;  // ms

template <class Work>
double busy_ms(Work work) {
  std::vector<double> times;
  for (std::size_t run = 0; run < kRuns; ++run) {
    const std::clock_t start = std::clock();
    volatile double result = work();
    static_cast<void>(result);
    times.push_back(1e3 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  std::sort(times.begin(), times.end());
  return times[kRuns / 2];
}

}  // namespace

int main() {
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  Simulator simulator(1);
  simulator.new_group({});
  std::vector<BoltEvidence> evidence;
  Truth truth;
  for (std::size_t i = 0; i < kBolts; ++i) evidence.push_back(simulator.pull(joint, truth));
  const double floor = busy_ms([&] {
    double sum = 0;
    for (std::size_t cell = 0; cell < kBolts * kCells; ++cell) {
      const double friction = 0.08 + 1e-7 * static_cast<double>(cell % kCells);
      const TighteningModel model(
          joint.prior.geometry, joint.prior.thread,
          {ThreadFriction(friction), SeatFriction(friction), joint.prior.seat_diameter},
          joint.prior.strength);
      TighteningState state = model.torque({}, joint.torque);
      for (const Angle& angle : joint.angles) state = model.angle(state, angle);
      sum += clampbook::units::value_in(state.preload, clampbook::units::newton);
    }
    return sum;
  });
  const double ours = busy_ms([&] { return estimate_group(joint.prior, evidence).bolts[0]->preload.median; });
  fmt::print(
      "{{\"name\":\"estimate\",\"bolts\":{},\"floor_ms\":{:.1f},\"ms\":{:.1f},\"ratio\":{:.2f},\"limit_ms\":{"
      "}}}\n",
      kBolts, floor, ours, ours / floor, kMost);
  return ours <= kMost ? EXIT_SUCCESS : EXIT_FAILURE;
}
