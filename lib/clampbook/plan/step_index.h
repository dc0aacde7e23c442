// Where the steps of a bolt stand in a plan, so that nobody has to search 200 000 of them for it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>

#include <cstddef>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace clampbook::plan {

/// Positions in `plan.bolts` and `plan.steps`; they hold for every copy of the plan that it was made from.
class StepIndex {
 public:
  using Positions = std::vector<std::size_t>;

  StepIndex() = default;
  explicit StepIndex(const Plan& plan);

  /// The steps that turn the bolt, in plan order; empty for a bolt without steps and for an unknown one.
  [[nodiscard]] const Positions& turning(const std::string& bolt) const;
  /// The gates whose label is the bolt's id ("each: bolts"), in plan order.
  [[nodiscard]] const Positions& gates(const std::string& bolt) const;
  /// The bolt's position in `plan.bolts`.
  [[nodiscard]] std::optional<std::size_t> bolt(const std::string& id) const;

 private:
  struct Bolt {
    std::optional<std::size_t> position{};
    Positions turning{}, gates{};
  };

  std::unordered_map<std::string, Bolt> bolts_;
};

}  // namespace clampbook::plan
