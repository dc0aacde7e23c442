// A file that is made once and never written over.
#pragma once

#include <string>
#include <string_view>

namespace clampbook::record {

/// Makes `path` with the text, on disk when this returns. Throws StoreError: file-exists, output-failed (the
/// unfinished file is removed).
void write_new_file(const std::string& path, std::string_view text);

}  // namespace clampbook::record
