// What the guide waits for: a line typed, a line of the wrench, the end of input, Ctrl-C, a cable pulled out.
#pragma once

#include "cli/wrench.h"

#include <deque>
#include <optional>
#include <string>
#include <vector>

namespace clampbook::cli {

struct Happening {
  enum class Kind { typed, wrench, end, interrupted, wrench_gone, wrench_back };
  Kind kind = Kind::end;
  std::string text{};     ///< of a line, without its end
  bool too_long = false;  ///< only its front is there
  bool cut_off = false;   ///< the line did not end: the wrench went away
};

/// Reads standard input and, when there is one, the wrench. While it lives, Ctrl-C is told instead of ending
/// the program in the middle of something.
class GuideInput {
 public:
  explicit GuideInput(std::optional<WrenchSource> source);
  ~GuideInput();
  GuideInput(const GuideInput&) = delete;
  GuideInput& operator=(const GuideInput&) = delete;

  /// Waits until something happens.
  [[nodiscard]] Happening next();
  /// The lines that have come already, without waiting.
  [[nodiscard]] std::vector<Happening> take_lines();
  [[nodiscard]] const std::optional<WrenchPort>& port() const { return port_; }

 private:
  void wait();
  void read_typed();
  void read_wrench();

  std::optional<WrenchPort> port_;
  LineBuffer typed_, wrench_;
  std::deque<Happening> told_;
  bool ended_ = false;
};

}  // namespace clampbook::cli
