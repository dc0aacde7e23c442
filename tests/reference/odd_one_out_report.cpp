// How often a sound group raises an alarm, and how often a bad bolt is found: the second table of estimates
// in docs/accuracy.md. usage: odd_one_out_report [GROUPS]
#include "tests/support/simulated_bolts.h"

#include <clampbook/joint/odd_one_out.h>

#include <fmt/format.h>

#include <cstdlib>

using namespace clampbook::tests;

namespace {

struct Row {
  double alarms, dry, slippery, level95;
};

Row measure(const SimulatedJoint& joint, std::size_t bolts, std::size_t groups, double own) {
  Simulator simulator(20260504 + bolts);
  std::size_t alarms = 0, dry = 0, slippery = 0;
  std::vector<double> most;
  for (std::size_t g = 0; g < groups; ++g) {
    Lot lot;
    lot.own_friction = own;
    lot.friction *= std::exp(0.15 * simulator.normal());
    simulator.new_group(lot);
    std::vector<BoltEvidence> sound;
    Truth truth;
    for (std::size_t b = 0; b < bolts; ++b) sound.push_back(simulator.pull(joint, truth));
    most.push_back(std::fabs(oddest_bolt(sound)->score));
    alarms += odd_bolts(sound).empty() ? 0U : 1U;
    for (const double factor : {1.8, 0.6}) {
      std::vector<BoltEvidence> one = sound;
      one[g % one.size()] = simulator.pull(joint, truth, factor);
      const auto found = odd_bolts(one);
      (factor > 1 ? dry : slippery) += !found.empty() && found.front().bolt == g % one.size() ? 1U : 0U;
    }
  }
  const auto n = static_cast<double>(groups);
  return {static_cast<double>(alarms) / n, static_cast<double>(dry) / n, static_cast<double>(slippery) / n,
          quantile(most, 0.95)};
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t groups = argc > 1 ? static_cast<std::size_t>(std::atoi(argv[1])) : 1000;
  fmt::print(
      "| joint | bolts | alarms in sound groups | dry x1.8 found | slippery x0.6 found | level for 5 % "
      "|\n|---|---|---|---|---|---|\n");
  for (const double own : {0.05, 0.08, 0.12})
    for (const SimulatedJoint& joint : simulated_joints(0.21))
      for (const std::size_t bolts : {std::size_t{4}, std::size_t{6}, std::size_t{8}, std::size_t{10},
                                      std::size_t{14}, std::size_t{24}}) {
        const Row r = measure(joint, bolts, groups, own);
        fmt::print("| {}, friction +-{:.0f} % | {} | {:.1f} % | {:.1f} % | {:.1f} % | {:.2f} |\n", joint.name,
                   100 * own, bolts, 100 * r.alarms, 100 * r.dry, 100 * r.slippery, r.level95);
      }
  return EXIT_SUCCESS;
}
