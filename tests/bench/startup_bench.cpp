// What starting the program costs: `convert 30 N·m ft-lb` beside a program that does nothing but is linked
// with the same libraries. In turns; the median of each. Prints one JSON object; exits 1 when the ratio is
// above its limit.
//
// usage: startup_bench [PROGRAM FLOOR]
#include <fmt/format.h>

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <string>
#include <vector>

namespace {

constexpr int kRuns = 600;
constexpr double kLimit = 1.5;

double run(const std::vector<const char*>& words) {
  std::vector<char*> arguments;
  for (const char* word : words)
    arguments.push_back(const_cast<char*>(word));  // NOLINT: as posix_spawn wants it
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  const auto start = std::chrono::steady_clock::now();
  pid_t child = 0;
  int status = -1;
  if (posix_spawn(&child, words.front(), &actions, nullptr, arguments.data(), environ) == 0)
    waitpid(child, &status, 0);
  const double taken = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  posix_spawn_file_actions_destroy(&actions);
  if (status != 0) {
    fmt::print(stderr, "{} failed\n", words.front());
    std::exit(2);
  }
  return taken;
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
  const char* program = argc > 2 ? argv[1] : CLAMPBOOK_PROGRAM;
  const char* floor_program = argc > 2 ? argv[2] : CLAMPBOOK_FLOOR;
  std::vector<double> floor, convert;
  for (int i = 0; i < kRuns; ++i) {
    floor.push_back(run({floor_program}));
    convert.push_back(run({program, "convert", "30", "N·m", "ft-lb"}));
  }
  const double ratio = median(convert) / median(floor);
  fmt::print(
      "{{\"name\":\"startup\",\"runs\":{},\"floor_ms\":{:.3f},\"convert_ms\":{:.3f},\"ratio\":{:.2f},"
      "\"limit\":{}}}\n",
      kRuns, median(floor) * 1e3, median(convert) * 1e3, ratio, kLimit);
  return ratio <= kLimit ? EXIT_SUCCESS : EXIT_FAILURE;
}
