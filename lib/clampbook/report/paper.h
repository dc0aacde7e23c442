// Sheets of paper that are filled from the top: how tall a text becomes, and which page it comes to stand on.
// Reckoned here and not left to the browser, so that every page can have its number, its cautions and its
// headings on any printer, A4 or Letter.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace clampbook::report {

/// The part of the paper that both sizes have, inside margins of 10 mm. [mm]
inline constexpr double kPaperWidth = 190, kPaperHeight = 257;

/// Lines that `text` takes at most in a column of `width` mm, set in `points`: reckoned with a wide typeface.
[[nodiscard]] int lines_of(std::string_view text, double points, double width, bool bold = false);
/// Their height with the usual leading. [mm]
[[nodiscard]] double height_of(std::string_view text, double points, double width, bool bold = false);

/// What belongs together on a page.
class Block {
 public:
  /// An element with text, set in `points`; `extra` mm for what is around it. A long one
  /// is cut into several of the same kind.
  void put(std::string_view tag, std::string_view text, std::string_view style, double points,
           bool bold = false, double extra = 0.4);
  /// Markup that is `height` mm tall.
  void put_markup(std::string html, double height);

  [[nodiscard]] double height() const { return height_; }
  [[nodiscard]] std::string html() const;

 private:
  friend class Paper;
  struct Piece {
    std::string html;
    double height;
  };
  std::vector<Piece> pieces_;
  double height_ = 0;
};

class Paper {
 public:
  /// `capacity`: what a page holds besides its head and foot. [mm]
  explicit Paper(double capacity) : capacity_(capacity), pages_(1) {}

  [[nodiscard]] double capacity() const { return capacity_; }
  [[nodiscard]] double left() const { return capacity_ - used_; }
  [[nodiscard]] bool fresh() const { return used_ == 0; }
  /// Puts it on the page; on a new one when there is no room, piece by piece when no page can hold it.
  void add(const Block& block);
  void turn_page();
  [[nodiscard]] const std::vector<std::string>& pages() const { return pages_; }

 private:
  void add(const Block::Piece& piece);

  double capacity_, used_ = 0;
  std::vector<std::string> pages_;
};

}  // namespace clampbook::report
