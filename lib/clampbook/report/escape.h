// The one way for words into a page, a drawing or a style sheet: whatever somebody typed stays text.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string>
#include <string_view>

namespace clampbook::report {

/// Appends `text` for HTML and SVG, between tags and in quoted attributes. Control characters, and those that
/// reorder what stands beside them, show as U+FFFD.
void append_escaped(std::string& out, std::string_view text);
[[nodiscard]] std::string escaped(std::string_view text);

/// `text` as a string of a style sheet, with its quotes, safe inside a `<style>` element too.
[[nodiscard]] std::string style_string(std::string_view text);

/// The first `most` characters of `text`, then "…" if there are more: for places of a drawing that can't
/// grow.
[[nodiscard]] std::string shortened(std::string_view text, std::size_t most);

}  // namespace clampbook::report
