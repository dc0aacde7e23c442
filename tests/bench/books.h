// Invented schedules and books of any size, and the floor of whoever reads a book.
#pragma once

#include <clampbook/record/book_file.h>

#include <cstddef>
#include <string>

namespace bench {

/// A schedule of bolts in rows, `columns` in each, from the centre out. `stages` is YAML, from its first
/// dash.
[[nodiscard]] std::string cover(int bolts, int columns, const std::string& stages);
/// Bolts without places, in the order of the list.
[[nodiscard]] std::string listed(int bolts, const std::string& stages);

/// Snug, torque and angle, of a joint that is described well enough to estimate what its bolts hold.
[[nodiscard]] std::string whole_joint(int bolts);

inline constexpr int kTorques = 5;
/// So many stages of the same torque.
[[nodiscard]] std::string five_torques();

/// One moment for all lines.
[[nodiscard]] clampbook::record::Timestamp moment();
/// A reading of 30.25 N·m in the first pass.
[[nodiscard]] clampbook::record::Draft reading(int step, int stage, const std::string& bolt);

/// A book with one pass of the schedule in which every step is read once, as it should be; in place of an
/// older one. With `companions` each angle has its final torque, which is what estimates are made from.
/// Returns the number of lines.
std::size_t write_book(const std::string& path, const std::string& schedule, bool companions = false);

/// Hashes and SAX-parses each line of a book once, and keeps nothing: no reader can do with less.
[[nodiscard]] double hash_and_parse(const std::string& bytes);

}  // namespace bench
