// What reading a torque-angle curve costs, end to end, beside the least that any reader does: scanning the
// file and one std::from_chars for each number. A long log, which may take twice the floor; and a short one
// of a third of a millisecond, in which finding the knee weighs as much as reading, which may take three
// times. Prints one JSON object; exits 1 when a limit is passed.
#include <clampbook/trace/read_trace.h>
#include <clampbook/trace/reading.h>

#include "tests/support/pulls.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

using namespace clampbook;

namespace {

constexpr int kRuns = 15;
constexpr double kLimit = 2, kShortLimit = 3;

// One pull as a logger of high rate writes it: each reading many times, the angle still rising.
std::string log_of(int copies) {
  const pulls::Pull pull = pulls::make(pulls::Kind::yielding, pulls::kGood, 7);
  std::string out = "time_s,angle_deg,torque_Nm\n";
  double seconds = 0;
  for (const pulls::Reading& r : pull.readings)
    for (int i = 0; i < copies; ++i)
      out += fmt::format("{:.5f},{:.3f},{:.2f}\n", seconds += 5e-5, r.degrees + 0.0003 * i, r.newton_metres);
  return out;
}

// The floor: the same file, the same kind of stream, every number once.
double scan_and_parse(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::string block(1 << 17, '\0');
  double sum = 0;
  std::size_t kept = 0;
  while (in.read(block.data() + kept, static_cast<std::streamsize>(block.size() - kept)), in.gcount() > 0) {
    const char* at = block.data();
    const char* const end = at + kept + in.gcount();
    while (const void* found = std::memchr(at, '\n', static_cast<std::size_t>(end - at))) {
      const auto* line_end = static_cast<const char*>(found);
      while (at < line_end) {
        double value = 0;
        const auto read = std::from_chars(at, line_end, value);
        sum += value;
        at = read.ptr == at ? line_end : read.ptr + 1;
      }
      at = line_end + 1;
    }
    kept = static_cast<std::size_t>(end - at);
    std::memmove(block.data(), at, kept);
  }
  return sum;
}

double read_file(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  const trace::TraceFile file = trace::read_trace(in, path.string());
  return units::value_in(trace::read_curve(file.curve).peak, units::newton_metre);
}

template <class Work>
void time(double& best, Work work) {
  const auto start = std::chrono::steady_clock::now();
  volatile double result = work();
  static_cast<void>(result);
  best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
}

struct Measured {
  std::size_t bytes;
  double floor = 1e9, trace = 1e9;
};

Measured measure(int copies) {
  const auto path =
      std::filesystem::temp_directory_path() / fmt::format("trace_bench_{}.csv", std::random_device()());
  const std::string text = log_of(copies);
  std::ofstream(path, std::ios::binary) << text;
  Measured out{text.size()};
  // In turns, and the best of each, so that a busy machine does not decide.
  for (int run = 0; run < kRuns; ++run) {
    time(out.floor, [&] { return scan_and_parse(path); });
    time(out.trace, [&] { return read_file(path); });
  }
  std::filesystem::remove(path);
  return out;
}

}  // namespace

int main() {
  const Measured large = measure(700), small = measure(2);
  fmt::print(
      "{{\"name\":\"trace\",\"runs\":{},\"bytes\":{},\"floor_s\":{:.4f},\"trace_s\":{:.4f},\"ratio\":{:.2f},"
      "\"short_bytes\":{},\"short_floor_s\":{:.6f},\"short_trace_s\":{:.6f},\"short_ratio\":{:.2f},\"limit\":"
      "{:.0f},\"short_limit\":{:.0f}}}\n",
      kRuns, large.bytes, large.floor, large.trace, large.trace / large.floor, small.bytes, small.floor,
      small.trace, small.trace / small.floor, kLimit, kShortLimit);
  return large.trace / large.floor <= kLimit && small.trace / small.floor <= kShortLimit ? EXIT_SUCCESS
                                                                                         : EXIT_FAILURE;
}
