// What a million converted lines cost beside the least that any reader does: reading them and one
// std::from_chars a line. Prints one JSON object; exits 1 when the ratio of text is above the limit. That of
// JSON is told and not judged: the shortest digits that read back cost two floors by themselves.
#include "cli/convert_lines.h"

#include <clampbook/units/unit.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <string_view>

using namespace clampbook;

namespace {

constexpr int kLines = 1'000'000;
constexpr int kRuns = 15;
constexpr double kLimit = 3;

void write_lines(const std::filesystem::path& path) {
  std::ofstream out(path, std::ios::binary);
  std::mt19937 random(20260504);
  const std::array<const char*, 5> units{"N·m", "ft·lbf", "N m", "kgf·m", "in-lb"};
  std::uniform_int_distribution<int> thousandths(100, 400'000);
  for (int i = 0; i < kLines; ++i) {
    const int n = thousandths(random);
    const auto unit = static_cast<std::size_t>(i) % units.size();
    out << n / 1000 << '.' << n % 1000 / 100 << n % 100 / 10 << n % 10 << ' ' << units[unit] << '\n';
  }
}

// The floor: the same stream, the same blocks.
double read_and_parse(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::string block(1 << 16, '\0');
  double sum = 0;
  std::size_t kept = 0;
  while (in.read(block.data() + kept, static_cast<std::streamsize>(block.size() - kept)), in.gcount() > 0) {
    const char* at = block.data();
    const char* const end = at + kept + in.gcount();
    while (const void* found = std::memchr(at, '\n', static_cast<std::size_t>(end - at))) {
      const auto* line_end = static_cast<const char*>(found);
      double value = 0;
      std::from_chars(at, line_end, value);
      sum += value;
      at = line_end + 1;
    }
    kept = static_cast<std::size_t>(end - at);
    std::memmove(block.data(), at, kept);
  }
  return sum;
}

double convert_file(const std::filesystem::path& path, bool json) {
  std::ifstream in(path, std::ios::binary);
  std::ofstream out("/dev/null", std::ios::binary);
  std::ofstream err("/dev/null", std::ios::binary);
  return static_cast<double>(cli::convert_lines(
      in, out, err, {.target = &units::newton_metre_unit(), .json = json, .ascii = false}));
}

template <class Work>
void time(double& best, Work work) {
  const auto start = std::chrono::steady_clock::now();
  volatile double result = work();
  static_cast<void>(result);
  best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
}

}  // namespace

int main() {
  const auto path =
      std::filesystem::temp_directory_path() / fmt::format("convert_bench_{}.txt", std::random_device()());
  write_lines(path);
  // In turns, and the best of each, so that a busy machine does not decide.
  double floor = 1e9, text = 1e9, json = 1e9;
  for (int run = 0; run < kRuns; ++run) {
    time(floor, [&] { return read_and_parse(path); });
    time(text, [&] { return convert_file(path, false); });
    time(json, [&] { return convert_file(path, true); });
  }
  std::filesystem::remove(path);
  fmt::print(
      "{{\"name\":\"convert\",\"n\":{},\"runs\":{},\"floor_s\":{:.4f},\"text_s\":{:.4f},\"json_s\":{:.4f},"
      "\"text_ratio\":{:.2f},\"json_ratio\":{:.2f},\"limit\":{:.0f}}}\n",
      kLines, kRuns, floor, text, json, text / floor, json / floor, kLimit);
  return text / floor <= kLimit ? EXIT_SUCCESS : EXIT_FAILURE;
}
