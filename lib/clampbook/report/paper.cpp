#include <clampbook/report/page.h>
#include <clampbook/report/paper.h>
#include <clampbook/text/utf8.h>

#include <cmath>
#include <utility>

namespace clampbook::report {

namespace {

constexpr double kMillimetresPerPoint = 25.4 / 72;
constexpr double kLeading = 1.3;
// What is lost at the ends of lines.
constexpr double kLost = 1.03;
constexpr double kBold = 1.12;

// The width of a character as a share of its size, in the widest of the usual sans-serif faces.
double width_of(std::string_view text) {
  constexpr std::string_view kThin = " ijl.,:;'|!", kNarrow = "ftr()[]-/\"*", kWide = "wGOQN&",
                             kWidest = "mMW@%";
  const auto in = [](std::string_view set, char c) { return set.find(c) != std::string_view::npos; };
  double out = 0;
  while (!text.empty()) {
    const char c = text.front();
    if (static_cast<unsigned char>(c) >= 0x80) {
      std::string_view rest = text;
      static_cast<void>(text::take_character(rest));
      const std::size_t bytes = text.size() - rest.size();
      out += 0.63 * static_cast<double>(text::display_width(text.substr(0, bytes)));
      text = rest;
      continue;
    }
    out += in(kThin, c)           ? 0.33
           : in(kNarrow, c)       ? 0.42
           : in(kWidest, c)       ? 0.98
           : in(kWide, c)         ? 0.82
           : c >= 'A' && c <= 'Z' ? 0.7
                                  : 0.61;
    text.remove_prefix(1);
  }
  return out;
}

// The second and later bytes of a character in UTF-8.
bool is_inside_character(char c) {
  return (static_cast<unsigned char>(c) & 0xC0) == 0x80;
}

}  // namespace

int lines_of(std::string_view text, double points, double width, bool bold) {
  const double all = width_of(text) * points * kMillimetresPerPoint * (bold ? kBold : 1);
  return all <= width ? 1 : static_cast<int>(std::ceil(all * kLost / width));
}

double height_of(std::string_view text, double points, double width, bool bold) {
  return lines_of(text, points, width, bold) * points * kMillimetresPerPoint * kLeading;
}

void Block::put(std::string_view tag, std::string_view text, std::string_view style, double points, bool bold,
                double extra) {
  constexpr double kTallest = 45;  // mm
  // A frame takes some of the width.
  const double width = style == "caution" ? kPaperWidth - 8 : kPaperWidth;
  do {
    std::size_t take = text.size();
    if (const int lines = lines_of(text, points, width, bold); lines > 1)
      if (const double most = kTallest / height_of("", points, width); lines > most)
        take = static_cast<std::size_t>(static_cast<double>(text.size()) * most / lines);
    while (take < text.size() && is_inside_character(text[take])) ++take;
    const std::string_view part = text.substr(0, take);
    put_markup(element(tag, part, style), height_of(part, points, width, bold) + extra);
    text.remove_prefix(take);
  } while (!text.empty());
}

void Block::put_markup(std::string html, double height) {
  pieces_.push_back({std::move(html), height});
  height_ += height;
}

std::string Block::html() const {
  std::string out;
  for (const Piece& piece : pieces_) out += piece.html;
  return out;
}

void Paper::add(const Block& block) {
  if (block.height() > left() && block.height() <= capacity_ && !fresh()) turn_page();
  for (const Block::Piece& piece : block.pieces_) add(piece);
}

void Paper::add(const Block::Piece& piece) {
  if (piece.height > left() && !fresh()) turn_page();
  pages_.back() += piece.html;
  used_ += piece.height;
}

void Paper::turn_page() {
  pages_.emplace_back();
  used_ = 0;
}

}  // namespace clampbook::report
