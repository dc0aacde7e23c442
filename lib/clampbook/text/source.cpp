#include <clampbook/text/source.h>
#include <clampbook/text/utf8.h>

#include <algorithm>
#include <utility>

namespace clampbook::text {

Source::Source(std::string name, std::string text, Kind kind, std::size_t first_line)
    : name_(std::move(name)), text_(std::move(text)), kind_(kind), first_line_(first_line), line_starts_{0} {
  for (std::size_t at = text_.find('\n'); at != std::string::npos; at = text_.find('\n', at + 1))
    line_starts_.push_back(at + 1);
}

std::size_t Source::line_start(std::size_t offset) const {
  offset = std::min(offset, text_.size());
  return *std::prev(std::upper_bound(line_starts_.begin(), line_starts_.end(), offset));
}

Place Source::place(std::size_t offset) const {
  offset = std::min(offset, text_.size());
  const auto after = std::upper_bound(line_starts_.begin(), line_starts_.end(), offset);
  const std::size_t start = *std::prev(after);
  return {static_cast<std::size_t>(after - line_starts_.begin()) + first_line_ - 1,
          count_characters(std::string_view(text_).substr(start, offset - start)) + 1};
}

std::string_view Source::line_at(std::size_t offset) const {
  const std::size_t start = line_start(offset);
  std::size_t end = text_.find('\n', start);
  if (end == std::string::npos) end = text_.size();
  if (end > start && text_[end - 1] == '\r') --end;
  return std::string_view(text_).substr(start, end - start);
}

SourcePtr argument(std::string_view name, std::string_view word) {
  return std::make_shared<const Source>(std::string(name), std::string(word), Source::Kind::argument);
}

Location whole(const SourcePtr& argument) {
  return {argument, 0, std::max<std::size_t>(argument->text().size(), 1)};
}

}  // namespace clampbook::text
