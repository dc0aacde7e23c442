// A file that is written whole or not at all: a starter schedule, a sheet, a report, a drawing.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <string>
#include <string_view>

namespace clampbook::record {

/// What is to happen to a file that bears the name already.
enum class Existing {
  refuse,   ///< it stays as it is
  replace,  ///< it gives way, unless it is a book
};

/// Writes the text beside `path`, waits until it is on disk, and only then gives it the name: at every moment
/// the name stands for the old file or for the whole new one. A name that leads elsewhere is followed; a
/// device or a pipe is written to. Throws StoreError: file-exists (also for a book, whatever `existing`
/// says), output-failed (nothing of it is left under the name).
void write_output_file(const std::string& path, std::string_view text, Existing existing);

/// Makes the folder unless it is there. Throws StoreError: output-failed.
void make_output_folder(const std::string& path);

/// True when both names lead to one file that exists.
[[nodiscard]] bool is_same_file(const std::string& a, const std::string& b);

}  // namespace clampbook::record
