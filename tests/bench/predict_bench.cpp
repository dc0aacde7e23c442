// What a prediction of the shipped crankcase costs: beside a plain loop over the same closed form in bare
// doubles, with the same samples drawn and the same bands taken; and how it grows with the samples. Then the
// whole program beside its own start. In turns; medians of ratios. Prints one JSON object; exits 1 when a
// limit is passed.
#include <clampbook/joint/scatter.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/read_file.h>

#include <fmt/format.h>

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kRuns = 15;
constexpr double kMostSampling = 2, kMostProgram = 5, kMostGrowth = 1.1;

double processor_seconds() {
  struct timespec now {};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

template <class Work>
double seconds(Work work) {
  const double start = processor_seconds();
  work();
  return processor_seconds() - start;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

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

double run(const std::vector<const char*>& words, int output) {
  std::vector<char*> arguments;
  for (const char* word : words) arguments.push_back(const_cast<char*>(word));  // NOLINT: as execv wants it
  arguments.push_back(nullptr);
  const auto begin = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0) {
    dup2(output, STDOUT_FILENO);
    execv(words.front(), arguments.data());
    _exit(127);
  }
  int status = -1;
  if (child > 0) waitpid(child, &status, 0);
  if (status != 0) std::exit(2);
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

}  // namespace

int main() {
  const std::string file = std::string(CLAMPBOOK_SOURCE_DIR) + "/schedules/split-crankcase.yaml";
  const schedule::Schedule schedule = schedule::read_schedule(text::read_file(file, std::size_t{1} << 20));
  const auto predict = [&](std::size_t n) {
    return seconds([&] { static_cast<void>(plan::predict(schedule, {n, {}})); });
  };
  std::vector<double> sampling, growth, program;
  double sink = 0;
  for (int i = 0; i < kRuns; ++i) {
    const double floor = seconds([&] { sink += plain_loop(65536); });
    const double ours = predict(65536);
    sampling.push_back(ours / floor);
    growth.push_back(std::log(ours / predict(8192)) / std::log(8));
  }
  const int output = open("/dev/null", O_WRONLY | O_CLOEXEC);
  for (int i = 0; i < 20 * kRuns; ++i) {
    const double start = run({CLAMPBOOK_PROGRAM, "convert", "30", "N·m", "ft-lb"}, output);
    program.push_back(run({CLAMPBOOK_PROGRAM, "predict", file.c_str()}, output) / start);
  }
  fmt::print(
      "{{\"name\":\"predict\",\"samples\":65536,\"sampling_ratio\":{:.2f},\"sampling_limit\":{},\"growth\":{:"
      ".2f},\"growth_limit\":{},\"program_over_start\":{:.2f},\"program_limit\":{},\"check\":{}}}\n",
      median(sampling), kMostSampling, median(growth), kMostGrowth, median(program), kMostProgram, sink > 0);
  return median(sampling) <= kMostSampling && median(growth) <= kMostGrowth && median(program) <= kMostProgram
             ? EXIT_SUCCESS
             : EXIT_FAILURE;
}
