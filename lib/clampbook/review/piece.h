// The bolts themselves: which piece sits at a place now, and what it has been through.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/review/pass.h>

#include <cstdint>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace clampbook::review {

struct Piece {
  std::string bolt, fastener, title;
  std::int64_t fitted_seq = 0;  ///< the line that put it there: `fitted`, or the `begun` that met it first
  /// How often it was brought to its last torque stage or beyond, earlier uses included.
  std::int64_t tightened = 0;
  std::int64_t past_yield = 0;                      ///< how often it may have been taken past its yield point
  std::optional<double> free_first{}, free_last{};  ///< its free length in mm, first and last measured
  int free_measured = 0;                            ///< how often: once alone says nothing of growth
  schedule::Reuse reuse{};

  /// The most tightenings that `reuse:` allows; nothing when it sets no number.
  [[nodiscard]] std::optional<std::int64_t> limit() const;
  /// True when `reuse:` forbids what was done with it.
  [[nodiscard]] bool overused() const;
};

/// Follows the piece at one place through a pass of its title that was not lost; `piece` is what sat there
/// before, nothing before the first.
void follow_piece(const Pass& pass, const std::string& bolt, std::optional<Piece>& piece);

/// Every piece that the passes met. Trial and removed fittings count, a snug does not.
class Pieces {
 public:
  /// Up to and with pass `last`; 0: all.
  explicit Pieces(const std::vector<Pass>& passes, std::int64_t last = 0);

  /// In the order in which they came.
  [[nodiscard]] const std::vector<Piece>& all() const { return pieces_; }
  /// The piece that sits at the place after the last pass, or nullptr.
  [[nodiscard]] const Piece* at(const std::string& title, const std::string& bolt) const;

 private:
  using Places = std::unordered_map<std::string, std::size_t>;  // bolt: its piece, by position

  void follow(const Pass& pass);
  void put(Piece piece);

  std::vector<Piece> pieces_;
  std::unordered_map<std::string, Places> current_;  // by the schedule's title
};

}  // namespace clampbook::review
