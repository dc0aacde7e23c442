// What estimates of twenty bolts cost beside what their grid can't do without: each cell's bolt worked out
// once, and tightened by the readings of each; by themselves, and in a report. Prints one JSON object
// (bench.h); exits 1 when a limit is passed.
//
// usage: estimate_bench [--quick]
#include "tests/bench/bench.h"
#include "tests/bench/books.h"
#include "tests/support/simulated_bolts.h"

#include <clampbook/record/book_file.h>
#include <clampbook/report/record_page.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <vector>

using namespace clampbook::tests;
using namespace clampbook;

namespace {

constexpr int kTurns = 9;
constexpr std::array<int, 2> kBolts{20, 200};
constexpr std::size_t kCells = std::size_t{61} * 11 * 11;
constexpr double kMost = 0.05, kMostGrowth = 1.15;  // seconds for twenty bolts

double grid(const SimulatedJoint& joint, const std::vector<BoltEvidence>& evidence) {
  double sum = 0;
  for (std::size_t cell = 0; cell < kCells; ++cell) {
    const double friction = 0.08 + 1e-7 * static_cast<double>(cell);
    const TighteningModel model(joint.prior.geometry, joint.prior.thread,
                                {ThreadFriction(friction), SeatFriction(friction), joint.prior.seat_diameter},
                                joint.prior.strength);
    for (const BoltEvidence& read : evidence) {
      TighteningState state = model.torque({}, read.start);
      for (const Angle& angle : read.angles) state = model.angle(state, angle);
      sum += units::value_in(state.preload, units::newton);
    }
  }
  return sum;
}

std::vector<BoltEvidence> evidence_of(const SimulatedJoint& joint, int bolts) {
  Simulator simulator(1);
  simulator.new_group({});
  std::vector<BoltEvidence> out;
  Truth truth;
  for (int i = 0; i < bolts; ++i) out.push_back(simulator.pull(joint, truth));
  return out;
}

double page(const std::string& bytes) {
  const std::string name = "bench.book";
  const record::Book book = record::parse_book(bytes, name);
  const std::vector<review::Pass> passes = review::read_passes(book);
  const review::Pass& pass = passes.front();
  const review::PassEstimates estimates = review::estimate_pass(pass, review::Pieces(passes, pass.number));
  if (std::any_of(estimates.bolts.begin(), estimates.bolts.end(), [](const auto& b) { return !b.preload; }))
    bench::give_up("estimating every bolt");
  const std::vector<review::Finding> findings =
      review::find_findings(book, passes, pass, review::Until::finished, &estimates);
  return static_cast<double>(report::record_page({name, book, passes, pass, findings},
                                                 review::bolt_states(passes, pass, estimates), {})
                                 .size());
}

}  // namespace

int main(int argc, char** argv) {
  const bench::Options options = bench::read_options(argc, argv);
  const int turns = options.turns(kTurns);
  const bench::Folder folder;
  const SimulatedJoint joint = simulated_joints(0.21)[0];
  std::array<std::vector<bench::Times>, 2> times;
  std::array<std::vector<std::pair<double, double>>, 2> least;
  for (std::size_t i = 0; i < kBolts.size(); ++i) {
    const std::vector<BoltEvidence> evidence = evidence_of(joint, kBolts[i]);
    const std::string path = folder.path(fmt::format("{}.book", kBolts[i]));
    bench::write_book(path, bench::whole_joint(kBolts[i]), true);
    const std::string bytes = bench::content(path);
    times[i] =
        bench::in_turns(turns, bench::busy, [&] { return grid(joint, evidence); },
                        {[&] { return estimate_group(joint.prior, evidence).bolts[0]->preload.median; },
                         [&] { return page(bytes); }});
    for (std::size_t k = 0; k < least.size(); ++k) least[k].emplace_back(kBolts[i], times[i][k].least);
  }
  const std::string book = folder.path(fmt::format("{}.book", kBolts.front()));
  const auto row = [&](const char* work, std::size_t k, const char* verb) {
    return bench::Row{work,
                      static_cast<double>(kBolts.front()),
                      "bolts",
                      times[0][k],
                      bench::growth(least[k]),
                      bench::peak_bytes({bench::program(), verb, book}),
                      {.growth = kMostGrowth, .ours_s = kMost}};
  };
  return bench::print("estimate", options, turns,
                      {row("estimates", 0, "check"), row("report with estimates", 1, "report")});
}
