// How far the library is from every reference value, as the tables of docs/accuracy.md.
#pragma once

#include <string>

namespace reference {

/// Markdown: the exact forms, the rounded short forms, the rows that are missed, the computations that are
/// not ours. Throws std::logic_error when a computation has no name here.
[[nodiscard]] std::string accuracy_tables();

}  // namespace reference
