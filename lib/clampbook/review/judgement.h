// What check would say of a pass, kept while the book grows. What can be judged by itself is a cell: a step,
// a doubt, the piece at a place, a group of bolts that are alike, the book. All of them are judged when it is
// made; a line judges those that it touches, by the same rules. A figure from here may be taken to a bolt:
// what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/book.h>
#include <clampbook/review/arrivals.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/piece.h>
#include <clampbook/review/rules.h>
#include <clampbook/review/suspects.h>

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

namespace clampbook::review {

/// A pass among all of its book.
struct Seen {
  const record::Book& book;
  const std::vector<Pass>& passes;
  const Pass& pass;
};

class Judgement {
 public:
  explicit Judgement(const Seen& seen);

  /// Takes the next event of the book, of whatever pass; the passes have just taken it. Returns the findings
  /// that it brought, in their order: those that were not there before, by rule and place.
  std::vector<Finding> take(const record::Event& event, const Seen& seen);

  /// As find_findings().
  [[nodiscard]] std::vector<Finding> findings(const Seen& seen, Until until,
                                              const PassEstimates* estimates = nullptr) const;
  /// As findings() at once. It holds until the next line.
  [[nodiscard]] const std::vector<Finding>& at_once();
  /// Those among them that are pinned to a line.
  [[nodiscard]] std::vector<Finding> of_line(std::int64_t line, const Pass& pass) const;

 private:
  struct Cell {
    enum class Kind : std::uint8_t {
      step,
      lost_correction,
      doubt,
      piece,
      alike,
      operation,
      voiding,
      acceptance,
      damage,
      clock,
      trial,
    } kind = Kind::step;
    std::size_t nth = 0;
    auto operator<=>(const Cell&) const = default;
  };
  class Touched;  // by a line
  struct Alike {
    std::set<std::size_t> bolts{};  // in the order of the plan
  };

  void touch_places(const record::Event& event, const Seen& seen, std::set<Cell>& cells);
  [[nodiscard]] std::vector<Found> judge(const Cell& cell, const Seen& seen);
  [[nodiscard]] std::vector<Found> judge_cell(const Cell& cell, const Seen& seen);
  void judge_place(std::size_t bolt, const Seen& seen, Findings& out);
  void judge_build(const Seen& seen, Findings& out);
  void accept(std::vector<Found>& found) const;
  [[nodiscard]] std::vector<Found> at_line(std::int64_t line, const Pass& pass) const;
  void accept_line(std::int64_t line, const Pass& pass);
  [[nodiscard]] std::vector<Finding> renew(const std::set<Cell>& cells, const Seen& seen);
  void replace(const Cell& cell, std::vector<Found> found);
  [[nodiscard]] bool known(const Found& found) const;
  void put(Found found);
  void drop(const FindingKey& key);
  /// Sorts the bolt to those that it is like; the groups that it leaves and joins are touched.
  void liken(std::size_t bolt, const Pass& pass, std::set<Cell>* touched);
  [[nodiscard]] std::vector<Cell> all_cells(const Seen& seen) const;

  Arrivals arrivals_{};
  std::size_t followed_ = 0;  // events of the book
  std::size_t behind_ = 0;    // the step behind the last that is filled
  std::map<FindingKey, Finding> found_{};
  std::map<Cell, std::vector<FindingKey>> in_cell_{};                         // where there are any
  std::unordered_map<std::string, std::vector<std::size_t>> doubts_of_{};     // by bolt
  std::unordered_map<std::int64_t, std::string> reasons_{};                   // by the line that was accepted
  std::unordered_map<std::size_t, std::pair<std::size_t, LikeBolt>> like_{};  // bolts that are in a group
  std::unordered_map<std::string, std::size_t> group_of_{};                   // by likeness
  std::vector<Alike> groups_{};
  std::unordered_map<std::string, std::optional<Piece>> came_with_{};  // by bolt: the piece before this pass
  std::vector<record::Damage> damages_{};
  std::optional<std::vector<plan::FastenerPrediction>> predictions_{};
  bool own_build_ = false;  // lines of this pass may change what it waits for
  bool listed_ = false;     // at_once() was asked for: then the list goes along
  std::vector<FindingKey> keys_{};
  std::vector<Finding> list_{};
};

}  // namespace clampbook::review
