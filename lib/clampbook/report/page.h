// The frame of a page that a person opens, prints and keeps: one file, no script, nothing fetched.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string>
#include <string_view>

namespace clampbook::report {

/// From the doctype to the opened body. `style` comes behind what every page has; a policy in the head keeps
/// the browser from running or fetching anything.
[[nodiscard]] std::string page_start(std::string_view title, std::string_view style);
[[nodiscard]] std::string_view page_end();

/// `<tag class="style">text</tag>`, the text escaped. Without `style` no class.
[[nodiscard]] std::string element(std::string_view tag, std::string_view text, std::string_view style = "");

}  // namespace clampbook::report
