// What an append that was cut off leaves behind, told apart from a line that somebody altered.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string_view>

namespace clampbook::record {

/// True when `line` (without its line feed, its seal not holding) can be what is left of a line that was cut
/// off while it was written: the front of a line whose seal is not complete, and right as far as it goes. A
/// whole line in which any one byte was changed is none, wherever the change. Zeros at the end, two or more,
/// as a power cut leaves them on some file systems, are not looked at.
[[nodiscard]] bool is_torn(std::string_view line);

}  // namespace clampbook::record
