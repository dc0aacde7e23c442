// One stage on the sheet: its figures large, its cautions beside them, a box for each bolt. Only this room
// includes it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/report/paper.h>
#include <clampbook/report/text_style.h>

#include <functional>
#include <span>
#include <string>
#include <unordered_map>

namespace clampbook::report {

class SheetStages {
 public:
  SheetStages(const schedule::Schedule& schedule, const plan::Plan& plan, const TextStyle& style);

  /// `steps`: consecutive ones of one stage.
  void add(Paper& paper, std::span<const plan::Step> steps) const;

 private:
  [[nodiscard]] std::string heading(std::span<const plan::Step> steps) const;
  [[nodiscard]] Block head(std::span<const plan::Step> steps, bool alike) const;
  void figures(Block& block, std::span<const plan::Step> steps) const;
  void cautions(Block& block, std::span<const plan::Step> steps) const;
  void origins(Block& block, const schedule::Stage& stage) const;
  void gate(Paper& paper, std::span<const plan::Step> steps) const;
  void table(Paper& paper, std::span<const plan::Step> steps, bool alike, Block top) const;
  struct Spread {
    bool halves;  ///< two tables side by side
    double row;   ///< mm
    std::string continued;
  };
  /// Rows on as many pages as they take, `top` above the first of them.
  static void spread(Paper& paper, std::span<const plan::Step> steps, const Spread& how, Block top,
                     const std::function<std::string(std::span<const plan::Step>, std::size_t)>& rows_of);
  [[nodiscard]] std::string rows(std::span<const plan::Step> steps, bool alike, std::size_t first) const;

  const schedule::Schedule& schedule_;
  const plan::Plan& plan_;
  const TextStyle& style_;
  std::unordered_map<int, const schedule::Stage*> stages_;
  std::unordered_map<int, const plan::PlanStage*> listed_;
  std::unordered_map<std::string, const plan::PlanBolt*> bolts_;
};

}  // namespace clampbook::report
