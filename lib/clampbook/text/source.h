// A text that somebody wrote, and places in it. Everything that can be wrong points into a Source.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::text {

/// One-based, as editors count. `column` is in characters, not bytes.
struct Place {
  std::size_t line = 1;
  std::size_t column = 1;
};

class Source {
 public:
  /// A file has lines; an argument is one short text that was typed on the command line.
  enum class Kind { file, argument };

  /// `name` is the path as the user typed it, or the name of the argument.
  /// `first_line` is the number of its first line, for a line that was cut out of a stream.
  Source(std::string name, std::string text, Kind kind = Kind::file, std::size_t first_line = 1);

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] std::string_view text() const { return text_; }
  [[nodiscard]] Kind kind() const { return kind_; }

  /// Offsets past the end count as the end.
  [[nodiscard]] Place place(std::size_t offset) const;
  /// The line that holds `offset`, without its line end.
  [[nodiscard]] std::string_view line_at(std::size_t offset) const;
  /// Offset of the first byte of the line that holds `offset`.
  [[nodiscard]] std::size_t line_start(std::size_t offset) const;

 private:
  std::string name_;
  std::string text_;
  Kind kind_;
  std::size_t first_line_;
  std::vector<std::size_t> line_starts_;
};

using SourcePtr = std::shared_ptr<const Source>;

/// A stretch of bytes in a source. It keeps the source alive, so that a diagnostic can be shown later.
struct Location {
  SourcePtr source;
  std::size_t offset = 0;
  std::size_t length = 0;
};

/// A word of a command line or a form as a source, so that errors can point into it; `name` is what it is
/// called there.
[[nodiscard]] SourcePtr argument(std::string_view name, std::string_view word);
/// The whole of it.
[[nodiscard]] Location whole(const SourcePtr& argument);

}  // namespace clampbook::text
