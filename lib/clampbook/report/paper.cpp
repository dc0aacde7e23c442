#include <clampbook/report/paper.h>
#include <clampbook/text/utf8.h>

#include <cmath>

namespace clampbook::report {

namespace {

constexpr double kMillimetresPerPoint = 25.4 / 72;
constexpr double kLeading = 1.3;
// The mean width of a character, as a share of its size, in the widest of the usual sans-serif faces, and
// what is lost at the ends of lines.
constexpr double kNormal = 0.52, kBold = 0.6, kLost = 1.03;

}  // namespace

int lines_of(std::string_view text, double points, double width, bool bold) {
  const double each = points * kMillimetresPerPoint * (bold ? kBold : kNormal);
  const double all = static_cast<double>(text::display_width(text)) * each;
  return all <= width ? 1 : static_cast<int>(std::ceil(all * kLost / width));
}

double height_of(std::string_view text, double points, double width, bool bold) {
  return lines_of(text, points, width, bold) * points * kMillimetresPerPoint * kLeading;
}

void Paper::add(std::string_view html, double height) {
  if (height > left() && !fresh()) turn_page();
  pages_.back() += html;
  used_ += height;
}

void Paper::turn_page() {
  pages_.emplace_back();
  used_ = 0;
}

}  // namespace clampbook::report
