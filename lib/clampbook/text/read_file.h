// A file of somebody's, as a Source.
#pragma once

#include <clampbook/text/source.h>

#include <cstddef>
#include <fstream>
#include <string>

namespace clampbook::text {

/// Reads a regular file whole. Throws InputError: unreadable-file (missing, no permission, a folder, a pipe,
/// a device), too-large.
[[nodiscard]] SourcePtr read_file(const std::string& path, std::size_t largest);

/// The file as a stream, for what may be longer than memory, or a pipe. Throws InputError: unreadable-file
/// (missing, no permission, a folder). The stream is bad() when a later read fails.
[[nodiscard]] std::ifstream open_file(const std::string& path);

}  // namespace clampbook::text
