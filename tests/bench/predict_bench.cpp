// What a prediction of the shipped crankcase costs: beside a plain loop over the same closed form in bare
// doubles, with the same samples drawn and the same bands taken. Then the whole program beside its own start.
// Prints one JSON object (bench.h); exits 1 when a limit is passed.
//
// usage: predict_bench [--quick]
#include "tests/bench/bench.h"

#include <clampbook/joint/scatter.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/read_file.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kTurns = 15, kProgramTurns = 300;
constexpr std::array<std::size_t, 2> kSamples{6'554, 65'536};
constexpr std::size_t kDefaultSamples = 4'096;
constexpr double kMostSampling = 2, kMostProgram = 5, kMostGrowth = 1.1;

// Snug 8 N·m, torque 30 N·m, angle 60 degrees twice, M10 10.9: docs/physics.md section 6 written out for one
// section each of shank and free thread.
double plain_loop(std::size_t n) {
  constexpr std::size_t kInputs = 12;
  constexpr double kPi = 3.14159265358979323846;
  const joint::LatinHypercube cube(n, kInputs, 1);
  const double d2 = 9.026, d0 = 8.593, pitch = 1.5, area = 57.99, shank_area = 78.54, free_thread = 30,
               shank = 50;
  const double seat = (14.63 + 11) / 4, springs = 1 / 141220.0 + 1 / 630000.0, twist = 2.1e-6;
  const std::array<double, 4> targets{8000, 30000, 60, 60};
  std::array<std::vector<double>, 4> preload, torque;
  std::vector<double> limit;
  const double center = std::log(std::sqrt(0.08 * 0.16)),
               sigma = std::log(0.16 / 0.08) / (2 * 1.6448536269514722);
  for (std::size_t s = 0; s < n; ++s) {
    const auto z = [&](std::size_t i) { return cube.normal(s, i); };
    const double mu_thread = std::exp(center + sigma * z(0)),
                 mu_seat = std::exp(center + sigma * (0.3 * z(0) + std::sqrt(1 - 0.09) * z(1)));
    const double lead = pitch / (kPi * d2), m = mu_thread * 1.1547005383792515;
    const double thread_lever = d2 / 2 * (lead + m) / (1 - m * lead), lever = thread_lever + mu_seat * seat;
    const double scale = 1.05 * (1 + 0.03 * z(4)), yield = 940 * scale,
                 hardening = (1040 - 940) * scale / 0.09;
    const double elastic = 360 / pitch * springs / (1 + 0.04 * z(3)) + 180 / kPi * twist * thread_lever;
    std::array<double, 2> start{}, slope{};
    const std::array<double, 2> areas{area, shank_area}, diameters{d0, 10.0}, lengths{free_thread, shank};
    for (std::size_t i = 0; i < 2; ++i) {
      const double r = 3 * thread_lever / diameters[i];
      start[i] = areas[i] * yield / std::sqrt(1 + 3 * r * r);
      slope[i] = 360 / pitch * lengths[i] / (areas[i] * hardening) +
                 180 / kPi * 9 * r * lengths[i] / (areas[i] * hardening * diameters[i]);
    }
    double force = 0, angle = 0;
    for (std::size_t stage = 0; stage < 4; ++stage) {
      if (stage < 2) {
        force = std::max(force, targets[stage] * (1 + 0.023 * z(2)) * (1 + 0.01 * z(8 + stage)) / lever);
        angle = force * elastic + std::max(0.0, force - start[0]) * slope[0] +
                std::max(0.0, force - start[1]) * slope[1];
      } else {
        angle += targets[stage] + 2.9 * z(8 + stage) + 0.05 * z(5) * elastic * force;
        const double knee = start[0] * elastic;
        force = angle <= knee ? angle / elastic : start[0] + (angle - knee) / (elastic + slope[0]);
      }
      preload[stage].push_back(force);
      torque[stage].push_back(force * lever);
    }
    limit.push_back(start[0] * elastic);
  }
  double sum = joint::band(std::move(limit)).p95;
  for (std::size_t stage = 0; stage < 4; ++stage)
    sum += joint::band(std::move(preload[stage])).p5 + joint::band(std::move(torque[stage])).p95;
  return sum;
}

bench::Row measure_sampling(const std::string& file, int turns) {
  const schedule::Schedule schedule = schedule::read_schedule(text::read_file(file, std::size_t{1} << 20));
  std::vector<std::pair<double, double>> least;
  bench::Times times;
  for (const std::size_t n : kSamples) {
    times = bench::in_turns(turns, bench::busy, [&] { return plain_loop(n); }, {[&] {
                              return static_cast<double>(plan::predict(schedule, {n, {}}).size());
                            }})[0];
    least.emplace_back(n, times.least);
  }
  return {
      "predict, sampling",
      static_cast<double>(kSamples.back()),
      "samples",
      times,
      bench::growth(least),
      bench::peak_bytes({bench::program(), "predict", file, "--samples", std::to_string(kSamples.back())}),
      {.ratio = kMostSampling, .growth = kMostGrowth}};
}

bench::Row measure_program(const std::string& file, int turns) {
  const auto predict = [&](std::size_t samples, int count) {
    return bench::in_turns(
        count, bench::wall,
        [] {
          bench::run({bench::program(), "convert", "30", "N·m", "ft-lb"});
          return 0.0;
        },
        {[&] {
          bench::run({bench::program(), "predict", file, "--samples", std::to_string(samples)});
          return 0.0;
        }})[0];
  };
  const bench::Times times = predict(kDefaultSamples, turns);
  const bench::Times tenfold = predict(10 * kDefaultSamples, (turns + 9) / 10);
  return {"predict, whole program",
          static_cast<double>(kDefaultSamples),
          "samples",
          times,
          bench::growth({{kDefaultSamples, times.least}, {10 * kDefaultSamples, tenfold.least}}),
          bench::peak_bytes({bench::program(), "predict", file}),
          {.ratio = kMostProgram, .growth = kMostGrowth}};
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const std::string file = std::string(CLAMPBOOK_SOURCE_DIR) + "/schedules/split-crankcase.yaml";
  const int turns = options.turns(kTurns);
  return bench::print("predict", options, turns,
                      {measure_sampling(file, turns), measure_program(file, options.turns(kProgramTurns))});
}
