// What every fuzz target has: one function that takes any bytes, and ends the program when a promise of the
// library does not hold. The same function runs under the fuzzer and, over kept inputs, in the normal suite.
#pragma once

#include <clampbook/text/error.h>
#include <clampbook/text/source.h>

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace clampbook::fuzz {

/// Whether what takes long is checked for this input: always in the normal suite; while the fuzzer searches,
/// for a sixteenth of the inputs, and for the same ones each time.
[[nodiscard]] bool takes_its_time(std::size_t size);
inline bool always_takes_its_time = false;

/// Prints `promise` and `detail` and aborts when `holds` is false.
void require(bool holds, std::string_view promise, std::string_view detail = {});

[[nodiscard]] std::string_view as_text(const std::uint8_t* data, std::size_t size);
[[nodiscard]] text::SourcePtr as_source(const std::uint8_t* data, std::size_t size);

/// A refusal says something, points into its source, and can be printed for people and for machines.
void require_helpful(const DiagnosticError& refusal);

/// parse_json(text) gives a value, and its dump is `text` again.
void require_same_json(std::string_view text);

}  // namespace clampbook::fuzz
