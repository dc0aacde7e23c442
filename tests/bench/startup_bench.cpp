// What starting the program costs: `convert 30 N·m ft-lb` beside a program that does nothing but is linked
// with the same libraries. Prints one JSON object (bench.h); exits 1 when a limit is passed.
//
// usage: startup_bench [--quick] [PROGRAM FLOOR]
#include "tests/bench/bench.h"

namespace {

constexpr int kTurns = 600;
constexpr double kMostRatio = 1.5;

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const bool named = options.operands.size() == 2;
  const std::vector<std::string> ours{named ? options.operands[0] : bench::program(), "convert", "30", "N·m",
                                      "ft-lb"};
  const std::vector<std::string> floor{named ? options.operands[1] : CLAMPBOOK_FLOOR};
  const auto started = [](const std::vector<std::string>& words) {
    return [&words] {
      bench::run(words);
      return 0.0;
    };
  };
  const int turns = options.turns(kTurns);
  const bench::Times times = bench::in_turns(turns, bench::wall, started(floor), {started(ours)})[0];
  return bench::print("startup", options, turns,
                      {{"start-up", 1, "value", times, {}, bench::peak_bytes(ours), {.ratio = kMostRatio}}});
}
