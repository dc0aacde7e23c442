// What reading a torque-angle curve costs, end to end, beside the least that any reader does: scanning the
// file and one std::from_chars for each number. A long log; and a short one of a third of a millisecond, in
// which finding the knee weighs as much as reading. Prints one JSON object (bench.h); exits 1 when a limit is
// passed.
//
// usage: trace_bench [--quick]
#include "tests/bench/bench.h"
#include "tests/support/pulls.h"

#include <clampbook/trace/read_trace.h>
#include <clampbook/trace/reading.h>

#include <fmt/format.h>

#include <charconv>
#include <cstring>
#include <fstream>
#include <string>

using namespace clampbook;

namespace {

constexpr int kTurns = 15, kShortTurns = 201;
constexpr double kMostRatio = 2, kMostShort = 3, kMostGrowth = 1.15;
constexpr int kShortCopies = 2, kLongCopies = 700;

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
double scan_and_parse(const std::string& path) {
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

double read_file(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  const trace::TraceFile file = trace::read_trace(in, path);
  return units::value_in(trace::read_curve(file.curve).peak, units::newton_metre);
}

// This log, and for the growth one a tenth or ten times as long.
bench::Row measure(const bench::Folder& folder, const std::string& work, int copies, int other, int turns,
                   double most) {
  const std::string path = folder.write("a.csv", log_of(copies)),
                    path2 = folder.write("b.csv", log_of(other));
  const auto times = [&](const std::string& file, int count) {
    return bench::in_turns(count, bench::busy, [&] { return scan_and_parse(file); },
                           {[&] { return read_file(file); }})[0];
  };
  const bench::Times here = times(path, turns), there = times(path2, (turns + 1) / 2);
  const auto size = [](const std::string& file) {
    return static_cast<double>(std::filesystem::file_size(file));
  };
  return {work,
          size(path),
          "bytes",
          here,
          bench::growth({{size(path), here.least}, {size(path2), there.least}}),
          bench::peak_bytes({bench::program(), "trace", path}),
          {.ratio = most, .growth = kMostGrowth}};
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const bench::Folder folder;
  const int turns = options.turns(kTurns);
  return bench::print("trace", options, turns,
                      {measure(folder, "trace, long log", kLongCopies, kLongCopies / 10, turns, kMostRatio),
                       measure(folder, "trace, short log", kShortCopies, kShortCopies * 10,
                               options.turns(kShortTurns), kMostShort)});
}
