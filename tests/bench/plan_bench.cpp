// What a schedule of 20 000 bolts costs, read, planned and printed, beside yaml-cpp's own walk through the
// same text with a handler that does nothing. Prints one JSON object (bench.h); exits 1 when a limit is
// passed.
//
// usage: plan_bench [--quick]
#include "tests/bench/bench.h"
#include "tests/bench/books.h"
#include "tests/bench/yaml_walk.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/report/checklist.h>
#include <clampbook/schedule/read_schedule.h>

#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kTurns = 9;
constexpr std::array kSizes{2'000, 20'000};
constexpr bench::Limits kLimits{.ratio = 4, .growth = 1.15};
constexpr const char* kStages = "  - {snug: 8 N·m}\n  - {torque: 30 N·m}\n  - {angle: 60°, tolerance: 5°}\n";

// A grid keeps its proportions as it grows: 100 rows of 200 at 20 000 bolts.
std::string schedule_text(bool grid, int bolts) {
  const int rows = grid ? static_cast<int>(std::lround(std::sqrt(bolts / 2.0))) : 2;
  return bench::cover(bolts, (bolts + rows - 1) / rows, kStages);
}

double print(const std::string& text, bool json) {
  const schedule::Schedule schedule =
      schedule::read_schedule(std::make_shared<const text::Source>("bench.yaml", text));
  const plan::Prepared prepared = plan::prepare(schedule);
  const std::string out = json ? plan::to_json_text(*prepared.plan)
                               : report::checklist(schedule, *prepared.plan, report::TextStyle{});
  return static_cast<double>(out.size());
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const int turns = options.turns(kTurns);
  const bench::Folder folder;
  std::vector<bench::Row> rows;
  for (const bool grid : {true, false}) {
    std::vector<bench::Times> last;
    std::vector<std::pair<double, double>> text_least, json_least;
    for (const int bolts : kSizes) {
      const std::string text = schedule_text(grid, bolts);
      last = bench::in_turns(turns, bench::busy, [&] { return bench::walk_yaml(text); },
                             {[&] { return print(text, false); }, [&] { return print(text, true); }});
      text_least.emplace_back(bolts, last[0].least);
      json_least.emplace_back(bolts, last[1].least);
    }
    const std::string file = folder.write("s.yaml", schedule_text(grid, kSizes.back()));
    const std::string where = grid ? "plan of a grid" : "plan of two rows";
    rows.push_back({where, kSizes.back(), "bolts", last[0], bench::growth(text_least),
                    bench::peak_bytes({bench::program(), "plan", file}), kLimits});
    rows.push_back({where + ", JSON", kSizes.back(), "bolts", last[1], bench::growth(json_least),
                    bench::peak_bytes({bench::program(), "plan", file, "--json"}), kLimits});
  }
  return bench::print("plan", options, turns, rows);
}
