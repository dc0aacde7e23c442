// What estimates from readings are worth, on simulated bolts whose truth is known: the table of
// docs/accuracy.md. usage: estimate_report [GROUPS]
#include "tests/support/simulated_bolts.h"

#include <fmt/format.h>

#include <cstdlib>

using namespace clampbook::tests;

int main(int argc, char** argv) {
  const std::size_t groups = argc > 1 ? static_cast<std::size_t>(std::atoi(argv[1])) : 25;
  fmt::print(
      "| joint, bolts together | bias / sd / p90 % | friction sd % | 90 % interval holds | yield call right "
      "| withheld |\n|---|---|---|---|---|---|\n");
  for (const double own : {0.08, 0.25}) {
    Lot lot;
    lot.own_friction = own;
    for (const SimulatedJoint& joint : simulated_joints(0.21)) {
      for (const std::size_t size : {std::size_t{1}, std::size_t{8}}) {
        const EstimateFigures f = figures_of(joint, lot, groups * 8 / size, size, 20260504);
        fmt::print(
            "| {}, friction +-{:.0f} %, {} | {:.1f} / {:.1f} / {:.1f} | {:.1f} | {:.1f} % | {:.1f} % | "
            "{:.1f} % |\n",
            joint.name, 100 * own, size, f.bias, f.deviation, f.p90, f.friction_deviation, 100 * f.coverage,
            100 * f.yield_right, 100 * f.withheld);
      }
    }
  }
  return EXIT_SUCCESS;
}
