#include <clampbook/report/picture.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <unordered_map>

namespace clampbook::report {

namespace {

constexpr std::size_t kMostDrawn = 120;
constexpr std::size_t kTallest = 40;
constexpr std::size_t kMostBlank = 3;  // lines in a row: a picture, not a drawing to scale

struct Cell {
  std::string text;
  std::size_t width = 0;
  double x = 0, y = 0;  // millimetres
};

std::vector<Cell> cells_of(const plan::Plan& plan, const BoltSigns* signs) {
  std::unordered_map<std::string, std::size_t> turn;
  for (std::size_t i = 0; i < plan.order.size(); ++i) turn[plan.order[i]] = i + 1;
  std::vector<Cell> out;
  for (const plan::PlanBolt& bolt : plan.bolts) {
    Cell cell{fmt::format("[{}] {}", text::printable(bolt.id), turn[bolt.id])};
    if (signs != nullptr) {
      const auto sign = signs->find(bolt.id);
      cell.text.insert(0, sign != signs->end() ? sign->second : " ");
    }
    cell.width = text::display_width(cell.text);
    if (bolt.x && bolt.y) {
      cell.x = bolt.x->machine_value();
      cell.y = bolt.y->machine_value();
    }
    out.push_back(std::move(cell));
  }
  return out;
}

std::string in_list_order(const std::vector<Cell>& cells, const TextStyle& style) {
  std::size_t widest = 0;
  for (const Cell& cell : cells) widest = std::max(widest, cell.width);
  const std::size_t columns = std::max<std::size_t>(1, (style.width - 2) / (widest + 3));
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    out += i % columns == 0 ? "  " : "   ";
    const bool last = i + 1 == cells.size() || (i + 1) % columns == 0;
    out += last ? cells[i].text + "\n" : padded(cells[i].text, widest);
  }
  return out;
}

// One line of the picture: cells by column. Nothing when two of them would touch.
class Canvas {
 public:
  explicit Canvas(std::size_t height) : rows_(height) {}

  bool place(const Cell& cell, std::size_t row, std::size_t column) {
    for (const auto& [at, other] : rows_[row])
      if (column < at + other->width + 2 && at < column + cell.width + 2) return false;
    rows_[row].emplace_back(column, &cell);
    return true;
  }

  std::string text() {
    std::string out;
    std::size_t blank = 0;
    for (auto& row : rows_) {
      blank = row.empty() ? blank + 1 : 0;
      if (blank > kMostBlank) continue;
      std::sort(row.begin(), row.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
      std::string line;
      std::size_t at = 0;
      for (const auto& [column, cell] : row) {
        line += std::string(column - at, ' ') + cell->text;
        at = column + cell->width;
      }
      out += line.empty() ? "\n" : "  " + line + "\n";
    }
    return out;
  }

 private:
  std::vector<std::vector<std::pair<std::size_t, const Cell*>>> rows_;
};

std::optional<std::string> draw(const std::vector<Cell>& cells, const TextStyle& style) {
  double left = cells[0].x, right = left, bottom = cells[0].y, top = bottom;
  std::size_t widest = 0;
  for (const Cell& cell : cells) {
    left = std::min(left, cell.x);
    right = std::max(right, cell.x);
    bottom = std::min(bottom, cell.y);
    top = std::max(top, cell.y);
    widest = std::max(widest, cell.width);
  }
  if (widest + 4 > style.width) return std::nullopt;
  const auto width = static_cast<double>(std::min<std::size_t>(style.width - 4, 72) - widest);
  const double across = right - left, up = top - bottom;
  // A character is about twice as high as wide.
  const double natural = across > 0 ? width / 2 * up / across + 1 : static_cast<double>(2 * cells.size());
  auto height = static_cast<std::size_t>(std::clamp(std::round(natural), up > 0 ? 2.0 : 1.0, 22.0));
  for (; height <= kTallest; height += 1 + height / 8) {
    Canvas canvas(height);
    const bool fits = std::all_of(cells.begin(), cells.end(), [&](const Cell& cell) {
      const double column = across > 0 ? (cell.x - left) / across * width : 0;
      const double row = up > 0 ? (top - cell.y) / up * static_cast<double>(height - 1) : 0;
      return canvas.place(cell, static_cast<std::size_t>(std::lround(row)),
                          static_cast<std::size_t>(std::lround(column)));
    });
    if (fits) return canvas.text();
  }
  return std::nullopt;
}

}  // namespace

std::string bolt_picture(const plan::Plan& plan, const TextStyle& style, const BoltSigns* signs) {
  const std::vector<Cell> cells = cells_of(plan, signs);
  const bool placed = !plan.bolts.empty() && plan.bolts.front().x.has_value();
  std::string heading = "The bolts";
  if (!plan.view.empty()) heading += ", " + text::printable(plan.view);
  heading = wrapped(heading + ": [bolt] and its turn", style.width, 0, 2) + "\n\n";
  if (cells.size() > kMostDrawn)
    return fmt::format("{} bolts, too many to draw; the order stands in the stages.\n", cells.size());
  if (placed)
    if (const auto drawn = draw(cells, style)) return heading + *drawn;
  return heading + in_list_order(cells, style);
}

}  // namespace clampbook::report
