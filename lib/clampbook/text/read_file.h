// A file of somebody's, as a Source.
#pragma once

#include <clampbook/text/source.h>

#include <cstddef>
#include <string>

namespace clampbook::text {

/// Reads a regular file whole. Throws InputError: unreadable-file (missing, no permission, a folder, a pipe,
/// a device), too-large.
[[nodiscard]] SourcePtr read_file(const std::string& path, std::size_t largest);

}  // namespace clampbook::text
