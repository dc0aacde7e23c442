#include "tests/support/catch.h"
#include "tests/unit/review/random_book.h"

#include <clampbook/review/estimate.h>
#include <clampbook/review/judgement.h>
#include <clampbook/review/piece.h>

#include <map>
#include <string>
#include <vector>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using review::Finding;
using review::Pass;

std::string shown(const std::vector<Finding>& findings) {
  std::string out;
  for (const Finding& f : findings) out += review::to_json(f).dump() + "\n";
  return out;
}

std::string shown(const Pass& pass) {
  const review::Progress progress(pass);
  std::string out = pass.title + (pass.lost ? " lost " : " ") + std::to_string(progress.filled_count());
  if (const plan::Step* due = progress.due()) out += " due " + std::to_string(due->step);
  for (const plan::PlanBolt& bolt : pass.plan.bolts)
    if (const plan::Step* due = progress.due_for(bolt.id))
      out += " " + bolt.id + ":" + std::to_string(due->step);
  for (const plan::Step& step : pass.plan.steps)
    if (const review::Entry* entry = progress.standing(step.step))
      out += " " + std::to_string(entry->seq) + (progress.read_again(step.step) ? "!" : "");
  for (const review::Entry& entry : pass.entries) out += entry.past_piece ? "p" : entry.voided_by ? "v" : ".";
  return out + std::to_string(pass.unresolved.size()) + std::to_string(progress.highest_filled());
}

std::string shown(const std::optional<review::Piece>& piece) {
  if (!piece) return "none";
  return piece->fastener + " " + std::to_string(piece->fitted_seq) + " " + std::to_string(piece->tightened) +
         " " + std::to_string(piece->past_yield) + " " + std::to_string(piece->free_measured) + " " +
         std::to_string(piece->free_last.value_or(0) - piece->free_first.value_or(0));
}

// Each bolt's piece, followed alone, is the one that following all of them tells.
void check_pieces(const std::vector<Pass>& passes) {
  const review::Pieces pieces(passes);
  for (const plan::PlanBolt& bolt : passes.front().plan.bolts) {
    std::optional<review::Piece> alone;
    for (const Pass& pass : passes)
      if (!pass.lost && pass.title == passes.front().title) follow_piece(pass, bolt.id, alone);
    const review::Piece* among = pieces.at(passes.front().title, bolt.id);
    REQUIRE(shown(alone) == shown(among != nullptr ? std::optional(*among) : std::nullopt));
  }
}

const review::PassEstimates kNoEstimates;

// Takes a book line by line beside reading it anew at each.
class Beside {
 public:
  explicit Beside(std::uint32_t seed) : book_(seed) {}

  void write() {
    book_.write();
    take_all();
  }
  void take_all() {
    while (!book_.fresh().empty()) take(book_.take_fresh());
  }
  [[nodiscard]] const std::map<std::string, int>& slugs() const { return slugs_; }

 private:
  void take(const record::Event& event) {
    const std::vector<Pass>& taken = book_.passes().all();
    for (auto& [number, judgement] : kept_) {
      const review::Seen seen{book_.book(), taken, *book_.passes().find(number)};
      brought_[number] = judgement.take(event, seen);
    }
    if (!book_.fresh().empty()) {  // several were written at once
      alone_ = false;
      return;
    }
    const std::vector<Pass> anew = review::read_passes(book_.book());
    REQUIRE(taken.size() == anew.size());
    for (std::size_t i = 0; i < anew.size(); ++i) compare(taken[i], anew, i, event);
    check_pieces(anew);
    alone_ = true;
  }

  void compare(const Pass& taken, const std::vector<Pass>& anew, std::size_t i, const record::Event& event) {
    REQUIRE(shown(taken) == shown(anew[i]));
    const review::Seen seen{book_.book(), book_.passes().all(), taken};
    const std::vector<Finding> now = find_findings(book_.book(), anew, anew[i], review::Until::at_once);
    const auto [kept, is_new] = kept_.try_emplace(taken.number, seen);
    INFO("line " << event.seq << ", " << event.kind() << ", pass " << taken.number);
    REQUIRE(shown(kept->second.at_once()) == shown(now));
    REQUIRE(shown(kept->second.findings(seen, review::Until::finished, &kNoEstimates)) ==
            shown(find_findings(book_.book(), anew, anew[i], review::Until::finished, &kNoEstimates)));
    if (!is_new && alone_)
      REQUIRE(shown(brought_[taken.number]) == shown(review::not_in(before_[taken.number], now)));
    for (const Finding& f : now) ++slugs_[f.slug];
    before_[taken.number] = now;
  }

  test::RandomBook book_;
  std::map<std::int64_t, review::Judgement> kept_;
  std::map<std::int64_t, std::vector<Finding>> before_, brought_;
  std::map<std::string, int> slugs_;
  bool alone_ = true;
};

TEST_CASE("what is kept line by line is what the whole book says at every line", "[review][judgement]") {
  std::map<std::string, int> slugs;
  for (std::uint32_t seed = 1; seed <= 24; ++seed) {
    INFO("seed " << seed);
    Beside beside(seed);
    beside.take_all();
    for (int i = 0; i < 80; ++i) beside.write();
    for (const auto& [slug, count] : beside.slugs()) slugs[slug] += count;
  }
  // What the books never show, they don't compare.
  for (const char* slug : {"accepted",
                           "altered-record",
                           "angle-without-torque",
                           "clock-back",
                           "corrected",
                           "count-short",
                           "doubled",
                           "final-torque-out",
                           "gate-open",
                           "high",
                           "late-entry",
                           "low",
                           "measure-out",
                           "missed-step",
                           "no-movement",
                           "odd-one-out",
                           "out-of-order",
                           "out-of-range-tool",
                           "reused-fastener",
                           "stale-tool",
                           "still-moving",
                           "torn-line",
                           "trial-pass",
                           "unit-slip",
                           "unsure",
                           "wait-short"}) {
    INFO(slug);
    CHECK(slugs[slug] > 0);
  }
}

}  // namespace
