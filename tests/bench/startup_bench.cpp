// What starting the program costs: `convert 30 N·m ft-lb` beside a program that does nothing but is linked
// with the same libraries. In turns; the median of each. Prints one JSON object; exits 1 when the ratio is
// above its limit.
//
// usage: startup_bench [PROGRAM FLOOR]
#include <fmt/format.h>

#include <fcntl.h>
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

double run(const std::vector<const char*>& words, int output) {
  std::vector<char*> arguments;
  for (const char* word : words) arguments.push_back(const_cast<char*>(word));  // NOLINT: as execv wants it
  arguments.push_back(nullptr);
  const auto start = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0) {
    dup2(output, STDOUT_FILENO);
    execv(words.front(), arguments.data());
    _exit(127);
  }
  int status = -1;
  if (child > 0) waitpid(child, &status, 0);
  const double taken = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
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
  const int output = open("/dev/null", O_WRONLY | O_CLOEXEC);
  std::vector<double> floor, convert;
  for (int i = 0; i < kRuns; ++i) {
    floor.push_back(run({floor_program}, output));
    convert.push_back(run({program, "convert", "30", "N·m", "ft-lb"}, output));
  }
  const double ratio = median(convert) / median(floor);
  fmt::print(
      "{{\"name\":\"startup\",\"runs\":{},\"floor_ms\":{:.3f},\"convert_ms\":{:.3f},\"ratio\":{:.2f},"
      "\"limit\":{}}}\n",
      kRuns, median(floor) * 1e3, median(convert) * 1e3, ratio, kLimit);
  return ratio <= kLimit ? EXIT_SUCCESS : EXIT_FAILURE;
}
