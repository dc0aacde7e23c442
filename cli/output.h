// Files that a verb writes besides what it prints.
#pragma once

#include "cli/command.h"

#include <string>
#include <string_view>
#include <vector>

namespace clampbook::cli {

/// Writes the text whole or not at all, in place of an older file. Throws UsageError (bad-option) when `path`
/// is one of the files that the call reads; StoreError: file-exists (for a book), output-failed.
void write_output(const std::string& path, std::string_view text, const std::vector<std::string>& inputs);

/// "written: PATH, REMARK", unless machines or nobody listens.
void say_written(Context& context, std::string_view path, std::string_view remark = "");

}  // namespace clampbook::cli
