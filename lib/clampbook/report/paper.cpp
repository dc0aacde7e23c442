#include <clampbook/report/page.h>
#include <clampbook/report/paper.h>
#include <clampbook/text/utf8.h>

#include <cmath>
#include <utility>

namespace clampbook::report {

namespace {

constexpr double kMillimetresPerPoint = 25.4 / 72;
constexpr double kLeading = 1.3;
// The mean width of a character, as a share of its size, in the widest of the usual sans-serif faces, and
// what is lost at the ends of lines.
constexpr double kNormal = 0.52, kBold = 0.6, kLost = 1.03;

// The second and later bytes of a character in UTF-8.
bool is_inside_character(char c) {
  return (static_cast<unsigned char>(c) & 0xC0) == 0x80;
}

}  // namespace

int lines_of(std::string_view text, double points, double width, bool bold) {
  const double each = points * kMillimetresPerPoint * (bold ? kBold : kNormal);
  const double all = static_cast<double>(text::display_width(text)) * each;
  return all <= width ? 1 : static_cast<int>(std::ceil(all * kLost / width));
}

double height_of(std::string_view text, double points, double width, bool bold) {
  return lines_of(text, points, width, bold) * points * kMillimetresPerPoint * kLeading;
}

void Block::put(std::string_view tag, std::string_view text, std::string_view style, double points, bool bold,
                double extra) {
  constexpr double kHalfPage = 90;  // mm
  // A frame takes some of the width.
  const double width = style == "caution" ? kPaperWidth - 8 : kPaperWidth;
  do {
    std::size_t take = text.size();
    if (const int lines = lines_of(text, points, width, bold); lines > 1)
      if (const double most = kHalfPage / height_of("", points, width); lines > most)
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
