#include <clampbook/report/chart.h>
#include <clampbook/units/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::report {

Scale::Scale(double low, double high, double start, double end)
    : low_(low), high_(high > low ? high : low + 1), start_(start), end_(end) {}

double Scale::operator()(double figure) const {
  const double share = std::clamp((figure - low_) / (high_ - low_), 0.0, 1.0);
  return start_ + share * (end_ - start_);
}

std::vector<double> round_figures(double low, double high, int count) {
  const double rough = (high - low) / std::max(count, 1);
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  const double share = rough / power;
  const double step = power * (share < 1.5 ? 1 : share < 3.5 ? 2 : share < 7.5 ? 5 : 10);
  std::vector<double> out;
  const auto first = static_cast<long>(std::ceil(low / step - 1e-9)),
             last = static_cast<long>(std::floor(high / step + 1e-9));
  for (long i = first; i <= last; ++i) out.push_back(static_cast<double>(i) * step);
  return out;
}

void draw_rows(Svg& svg, const Scale& y, double left, double right, std::string_view words, int count) {
  for (const double figure : round_figures(y.low(), y.high(), count)) {
    svg.line(left, y(figure), right, y(figure), "grid");
    svg.text(left - 6, y(figure) + 4, units::significant(figure, 6), 12, "", Anchor::end);
  }
  svg.text(4, y(y.high()) - 10, words, 13, "strong");
}

void draw_columns(Svg& svg, const Scale& x, double top, double bottom, std::string_view words, int count) {
  for (const double figure : round_figures(x.low(), x.high(), count)) {
    svg.line(x(figure), top, x(figure), bottom, "grid");
    svg.text(x(figure), bottom + 16, units::significant(figure, 6), 12, "", Anchor::middle);
  }
  svg.text(x(x.high()), bottom + 34, words, 13, "strong", Anchor::end);
}

}  // namespace clampbook::report
