// What a record costs as a page and as a table, from the bytes of the book on, beside hashing and SAX-parsing
// them once; and a sheet to hang up beside the YAML library's walk through its schedule. Prints one JSON
// object (bench.h); exits 1 when a limit is passed.
//
// usage: report_bench [--quick]
#include "tests/bench/bench.h"
#include "tests/bench/books.h"
#include "tests/bench/yaml_walk.h"

#include <clampbook/record/seal.h>
#include <clampbook/report/record_csv.h>
#include <clampbook/report/record_page.h>
#include <clampbook/report/sheet.h>
#include <clampbook/schedule/read_schedule.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

using namespace clampbook;

namespace {

constexpr int kTurns = 5, kSmallTurns = 51;
constexpr int kSmallTorques = 14, kLargeTorques = 2;
constexpr std::array kSmall{20, 200}, kLarge{2'000, 20'000};  // bolts
constexpr double kSmallPage = 250'000, kLargePage = 20'000'000;
constexpr double kMostGrowth = 1.2;

std::string schedule_of(int bolts, int torques) {
  std::string stages;
  for (int i = 1; i <= torques; ++i) stages += fmt::format("  - {{torque: {} N·m}}\n", 4 * i);
  return bench::cover(bolts, std::max(2, static_cast<int>(std::lround(std::sqrt(bolts * 2)))),
                      stages + "  - {angle: 60°, tolerance: 5°}\n");
}

// As `report` does it, but for the file.
std::string report_of(const std::string& bytes, bool page) {
  const std::string name = "bench.book";
  const record::Book book = record::parse_book(bytes, name);
  const std::vector<review::Pass> passes = review::read_passes(book);
  const review::Pass& pass = passes.front();
  const review::PassEstimates estimates = review::estimate_pass(pass, review::Pieces(passes, pass.number));
  const std::vector<review::Finding> findings =
      review::find_findings(book, passes, pass, review::Until::finished, &estimates);
  const report::Record record{name, book, passes, pass, findings};
  return page ? report::record_page(record, review::bolt_states(passes, pass, estimates), {})
              : report::record_csv(record);
}

std::string sheet_of(const std::string& text) {
  const schedule::Schedule schedule =
      schedule::read_schedule(std::make_shared<const text::Source>("bench.yaml", text));
  const plan::Plan plan = plan::make_plan(schedule, {});
  return report::sheet("bench", {{schedule, plan, record::sha256(text)}}, {}).html;
}

double size(const std::string& text) {
  return static_cast<double>(text.size());
}

struct Measured {
  std::vector<bench::Times> times;
  std::vector<double> growth;
};

// The page and the table of books of so many bolts; the last size stays in `folder`.
Measured measure_books(const bench::Folder& folder, const std::array<int, 2>& sizes, int torques,
                       int measured, int turns) {
  std::array<std::vector<std::pair<double, double>>, 2> least;
  std::array<std::vector<bench::Times>, 2> times;
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    const std::string path = folder.path(fmt::format("{}.book", sizes[i]));
    bench::write_book(path, schedule_of(sizes[i], torques));
    const std::string bytes = bench::content(path);
    times[i] = bench::in_turns(
        turns, bench::busy, [&] { return bench::hash_and_parse(bytes); },
        {[&] { return size(report_of(bytes, true)); }, [&] { return size(report_of(bytes, false)); }});
    for (std::size_t k = 0; k < least.size(); ++k) least[k].emplace_back(sizes[i], times[i][k].least);
  }
  return {times[static_cast<std::size_t>(measured)], {bench::growth(least[0]), bench::growth(least[1])}};
}

bench::Row row(const bench::Folder& folder, const std::string& work, int bolts, const Measured& measured,
               bool page, std::optional<double> most_bytes) {
  const std::string path = folder.path(fmt::format("{}.book", bolts));
  const std::size_t which = page ? 0 : 1;
  bench::Row out{work,
                 static_cast<double>(bolts),
                 "bolts",
                 measured.times[which],
                 measured.growth[which],
                 bench::peak_bytes({bench::program(), "report", path, "--format", page ? "html" : "csv"}),
                 {.growth = kMostGrowth, .bytes = most_bytes}};
  if (most_bytes) out.bytes = report_of(bench::content(path), page).size();
  return out;
}

bench::Row measure_sheet(const bench::Folder& folder, int turns) {
  std::vector<std::pair<double, double>> least;
  bench::Times times;
  for (const int bolts : kLarge) {
    const std::string text = schedule_of(bolts, kLargeTorques);
    times = bench::in_turns(turns, bench::busy, [&] { return bench::walk_yaml(text); },
                            {[&] { return size(sheet_of(text)); }})[0];
    least.emplace_back(bolts, times.least);
  }
  const std::string text = schedule_of(kLarge.back(), kLargeTorques), file = folder.write("s.yaml", text);
  bench::Row out{"sheet",
                 static_cast<double>(kLarge.back()),
                 "bolts",
                 times,
                 bench::growth(least),
                 bench::peak_bytes({bench::program(), "plan", file, "--sheet", folder.path("sheet.html")}),
                 {.growth = kMostGrowth, .bytes = kLargePage}};
  out.bytes = sheet_of(text).size();
  return out;
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const int turns = options.turns(kTurns);
  const bench::Folder folder;
  const Measured small = measure_books(folder, kSmall, kSmallTorques, 0, options.turns(kSmallTurns));
  const Measured large = measure_books(folder, kLarge, kLargeTorques, 1, turns);
  return bench::print(
      "report", options, turns,
      {row(folder, "report, page of 300 lines", kSmall.front(), small, true, kSmallPage),
       row(folder, "report, page of 60 000 lines", kLarge.back(), large, true, kLargePage),
       row(folder, "report, CSV", kLarge.back(), large, false, {}), measure_sheet(folder, turns)});
}
