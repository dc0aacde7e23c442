// The checksum of a book's line, and the only door to libmd.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace clampbook::record {

/// The 64 lower-case hexadecimal digits of SHA-256 (FIPS 180-4).
[[nodiscard]] std::string sha256(std::string_view bytes);

/// A line's seal: the first 32 digits of SHA-256 over the bytes before `,"seal":`.
[[nodiscard]] std::string seal_of(std::string_view bytes);

/// `{...` without its closing brace, sealed: `{...,"seal":"..."}`. No line feed.
[[nodiscard]] std::string sealed(std::string_view open_object);

/// The seal of a line that ends in a well-formed seal which holds; nothing otherwise.
[[nodiscard]] std::optional<std::string_view> verified_seal(std::string_view line);

}  // namespace clampbook::record
