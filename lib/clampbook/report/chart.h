// What the charts have in common: a scale from figures to places, and round numbers along it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/report/svg.h>

#include <string>
#include <string_view>
#include <vector>

namespace clampbook::report {

/// Figures from `low` to `high` along a line from `start` to `end`; figures outside come to lie at its ends.
class Scale {
 public:
  Scale(double low, double high, double start, double end);
  [[nodiscard]] double operator()(double figure) const;
  [[nodiscard]] double low() const { return low_; }
  [[nodiscard]] double high() const { return high_; }

 private:
  double low_, high_, start_, end_;
};

/// Round figures (1, 2 or 5 times a power of ten apart) from `low` to `high`, about `count` of them.
[[nodiscard]] std::vector<double> round_figures(double low, double high, int count);

/// Lines across the chart at round figures, with the figures at its left edge and `words` above them.
void draw_rows(Svg& svg, const Scale& y, double left, double right, std::string_view words, int count = 5);
/// The same along its foot.
void draw_columns(Svg& svg, const Scale& x, double top, double bottom, std::string_view words, int count = 8);

}  // namespace clampbook::report
