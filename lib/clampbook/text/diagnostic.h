// What is wrong, where, and what to do about it: one shape for people and for machines.
#pragma once

#include <clampbook/text/source.h>

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::text {

class Json;

struct Diagnostic {
  std::string slug;                ///< stable; listed in docs/errors.md
  std::string message;             ///< lower case, no full stop
  std::string help{};              ///< what to write instead; may be empty
  std::optional<Location> at{};    ///< the place
  std::optional<Location> also{};  ///< a second place, e.g. of the first of two duplicates
  std::string also_says = "first given here";
  std::string file{};  ///< only when there is no place: the file that could not be read
};

/// The text that a person sees, ending in a line feed:
///
///     flange.yaml:14:11: error: torque has no unit [missing-unit]
///        14 |   torque: 85
///           |           ^^
///        help: put the unit after the number, for example: 85 N·m
[[nodiscard]] std::string render(const Diagnostic& diagnostic);

/// `{slug, text, file, line, column, help, also}`; absent is null.
[[nodiscard]] Json to_json(const Diagnostic& diagnostic);

/// Collects problems while a reader goes on, keeps the first twenty in file order and counts the rest. Of
/// several files each keeps together, in the order in which they first complain.
class Diagnostics {
 public:
  static constexpr std::size_t kMost = 20;

  void add(Diagnostic diagnostic) { items_.push_back(std::move(diagnostic)); }
  /// Counts problems that another collection has cut already.
  void add_more(std::size_t count) { cut_ += count; }
  [[nodiscard]] bool empty() const { return items_.empty(); }
  [[nodiscard]] std::size_t size() const { return items_.size(); }
  /// Sorted by place (stable), cut to kMost. `more` receives how many were cut.
  [[nodiscard]] std::vector<Diagnostic> take(std::size_t& more);

 private:
  std::vector<Diagnostic> items_;
  std::size_t cut_ = 0;
};

}  // namespace clampbook::text
