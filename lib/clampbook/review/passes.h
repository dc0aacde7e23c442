// The passes of a book that grows: a line of our own and one of another program enter the same way.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/book.h>
#include <clampbook/review/pass.h>

#include <cstddef>
#include <cstdint>
#include <map>
#include <utility>
#include <vector>

namespace clampbook::review {

class Passes {
 public:
  /// Takes the next event of the book, which has to stand where it stands as long as this does. Pointers to
  /// passes hold until one begins.
  void take(const record::Event& event);
  /// Takes all events of the book.
  void take(const record::Book& book);

  /// By number; those that were lost too.
  [[nodiscard]] const std::vector<Pass>& all() const& { return passes_; }
  [[nodiscard]] std::vector<Pass> all() && { return std::move(passes_); }
  /// The pass of that number, or nullptr.
  [[nodiscard]] const Pass* find(std::int64_t number) const;

 private:
  // What the book says of a pass, however it is ordered: a plan may come below entries that are judged by it.
  struct Lines {
    const record::Event* begun = nullptr;    // the last
    const record::Event* planned = nullptr;  // the last that can be read; its plan is kept in the pass
    std::vector<const record::Event*> later{};
    bool told = false;  // the pass is as its lines say
  };

  [[nodiscard]] Pass& at(std::int64_t number);
  void keep(const record::Event& event, Lines& lines);
  void tell(std::int64_t number, Lines& lines);

  std::vector<Pass> passes_{};
  std::map<std::int64_t, Lines> lines_{};
};

}  // namespace clampbook::review
