// Line drawings as SVG: shapes by class, colours by the style sheet, the same bytes for the same drawing.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string>
#include <string_view>

namespace clampbook::report {

/// Where a drawing is going to stand.
enum class Setting {
  page,  ///< inside an HTML page, which has the style
  file,  ///< alone, with its own style and size
};

/// Two decimals at most, none that say nothing: "12.5", "0", "-3".
[[nodiscard]] std::string coordinate(double x);

enum class Anchor { start, middle, end };

/// Builds one drawing. Coordinates count from the top left corner. Words are escaped here.
class Svg {
 public:
  /// `title` names the drawing, `description` says in words what it shows: for those who can't see it. A file
  /// of its own has `notice` and the standing cautions below what is drawn; a page says them itself.
  Svg(double width, double height, std::string_view title, std::string_view description, Setting setting,
      std::string_view notice = {});

  void line(double x1, double y1, double x2, double y2, std::string_view style);
  void rectangle(double x, double y, double width, double height, std::string_view style, double round = 0);
  void circle(double x, double y, double radius, std::string_view style);
  /// `data` in the words of SVG's path.
  void path(std::string_view data, std::string_view style);
  /// `size` in the drawing's units.
  void text(double x, double y, std::string_view words, double size, std::string_view style = "",
            Anchor anchor = Anchor::start);
  /// What is drawn until close() belongs together; `title` shows when it is pointed at.
  void open(std::string_view title);
  /// The same under a name to which other drawings of the page refer.
  void open_symbol(std::string_view name);
  void close();

  [[nodiscard]] std::string finish() &&;

 private:
  void style(std::string_view name);
  std::string out_;
  std::string foot_;  // drawn when all else is
};

/// The style of all drawings: `:root` has the colours (page.h).
[[nodiscard]] std::string_view drawing_style();

// Shapes that stand for something, around (x, y): as data of a path.
[[nodiscard]] std::string hexagon(double x, double y, double radius);
[[nodiscard]] std::string triangle(double x, double y, double radius, bool up);
[[nodiscard]] std::string diamond(double x, double y, double radius);
[[nodiscard]] std::string cross(double x, double y, double radius);
[[nodiscard]] std::string tick(double x, double y, double radius);

}  // namespace clampbook::report
