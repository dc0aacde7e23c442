// A moment as the book keeps it: RFC 3339 with milliseconds and a numeric offset.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace clampbook::record {

/// Milliseconds since 1970-01-01T00:00:00Z, with the offset of the clock that was read.
struct Timestamp {
  std::int64_t milliseconds = 0;
  int offset_minutes = 0;

  /// By the moment alone: 10:00+02:00 equals 08:00+00:00.
  [[nodiscard]] friend bool operator==(Timestamp a, Timestamp b) { return a.milliseconds == b.milliseconds; }
  [[nodiscard]] friend auto operator<=>(Timestamp a, Timestamp b) {
    return a.milliseconds <=> b.milliseconds;
  }
};

/// "2026-05-04T09:30:00.000+02:00". Years 0000 to 9999.
[[nodiscard]] std::string to_string(Timestamp moment);

/// Reads RFC 3339: date, 'T' or 't' or a space, time, optional fraction (kept to milliseconds), 'Z' or a
/// numeric offset, which is required. Nothing for anything else, nor for a date that does not exist.
[[nodiscard]] std::optional<Timestamp> parse_timestamp(std::string_view text);

}  // namespace clampbook::record
