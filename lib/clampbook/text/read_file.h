// A file of somebody's, as a Source.
#pragma once

#include <clampbook/text/source.h>

#include <cstddef>
#include <fstream>
#include <functional>
#include <string>
#include <string_view>

namespace clampbook::text {

/// Reads a regular file whole. Throws InputError: unreadable-file (missing, no permission, a folder, a pipe,
/// a device), too-large.
[[nodiscard]] SourcePtr read_file(const std::string& path, std::size_t largest);

/// Hands a regular file over block by block, as far as it reaches when it is opened. Throws InputError:
/// unreadable-file, as above.
void read_blocks(const std::string& path, const std::function<void(std::string_view)>& take);

/// The file as a stream, for what may be longer than memory, or a pipe. Throws InputError: unreadable-file
/// (missing, no permission, a folder). The stream is bad() when a later read fails.
[[nodiscard]] std::ifstream open_file(const std::string& path);

}  // namespace clampbook::text
