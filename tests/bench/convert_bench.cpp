// What a million converted lines cost beside the least that any reader does: reading them and one
// std::from_chars a line. Prints one JSON object (bench.h); exits 1 when a limit is passed.
//
// usage: convert_bench [--quick]
#include "cli/convert_lines.h"
#include "tests/bench/bench.h"

#include <clampbook/units/unit.h>

#include <array>
#include <charconv>
#include <cstring>
#include <fstream>
#include <random>
#include <string>

using namespace clampbook;

namespace {

constexpr std::array kLines{100'000, 1'000'000};
constexpr int kTurns = 15;
// A line of JSON has its number twice: the shortest digits that read back cost two floors each time.
constexpr double kMostText = 3, kMostJson = kMostText + 4, kMostGrowth = 1.15;

std::string lines(int count) {
  std::string out;
  std::mt19937 random(20260504);
  const std::array<const char*, 5> units{"N·m", "ft·lbf", "N m", "kgf·m", "in-lb"};
  std::uniform_int_distribution<int> thousandths(100, 400'000);
  for (int i = 0; i < count; ++i) {
    const int n = thousandths(random);
    const auto unit = static_cast<std::size_t>(i) % units.size();
    out +=
        std::to_string(n / 1000) + "." + std::to_string(1000 + n % 1000).substr(1) + " " + units[unit] + "\n";
  }
  return out;
}

// The floor: the same stream, the same blocks.
double read_and_parse(const std::string& path) {
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

double convert_file(const std::string& path, bool json) {
  std::ifstream in(path, std::ios::binary);
  std::ofstream out("/dev/null", std::ios::binary);
  std::ofstream err("/dev/null", std::ios::binary);
  return static_cast<double>(cli::convert_lines(
      in, out, err, {.target = &units::newton_metre_unit(), .json = json, .ascii = false}));
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const int turns = options.turns(kTurns);
  const bench::Folder folder;
  std::array<std::vector<std::pair<double, double>>, 2> least;
  std::vector<bench::Times> times;
  for (const int count : kLines) {
    const std::string path = folder.write("lines", lines(count));
    times = bench::in_turns(
        turns, bench::busy, [&] { return read_and_parse(path); },
        {[&] { return convert_file(path, false); }, [&] { return convert_file(path, true); }});
    for (std::size_t i = 0; i < times.size(); ++i) least[i].emplace_back(count, times[i].least);
  }
  const int n = kLines.back();
  const std::string program = bench::program(), path = folder.path("lines");
  return bench::print("convert", options, turns,
                      {{"convert lines",
                        n,
                        "lines",
                        times[0],
                        bench::growth(least[0]),
                        bench::peak_bytes({program, "convert", "-", "N·m"}, path),
                        {.ratio = kMostText, .growth = kMostGrowth}},
                       {"convert lines, JSON",
                        n,
                        "lines",
                        times[1],
                        bench::growth(least[1]),
                        bench::peak_bytes({program, "convert", "-", "N·m", "--json"}, path),
                        {.ratio = kMostJson, .growth = kMostGrowth}}});
}
