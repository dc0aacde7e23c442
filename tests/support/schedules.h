// Schedules for tests, from text.
#pragma once

#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <memory>
#include <string>

namespace clampbook::test {

inline schedule::Schedule schedule_from(const std::string& text) {
  return schedule::read_schedule(std::make_shared<const text::Source>("test.yaml", text));
}

inline schedule::Schedule shipped(const std::string& name) {
  return schedule::read_schedule(
      text::read_file(std::string(CLAMPBOOK_SOURCE_DIR) + "/schedules/" + name, std::size_t{1} << 22));
}

/// The slug of the first problem, or empty.
inline std::string first_slug(const std::string& text) {
  try {
    static_cast<void>(schedule_from(text));
    return {};
  } catch (const InputError& e) {
    return e.diagnostics().front().slug;
  }
}

/// A schedule with one fastener, `n` bolts without places, and these stages.
inline std::string simple(const std::string& stages, int n = 3, const std::string& extra = "") {
  std::string out =
      "format: fastener schedule 1\ntitle: Test\nfasteners: {b: {thread: M10, strength: \"8.8\"}}\nbolts:\n";
  for (int i = 1; i <= n; ++i) out += "  - {id: " + std::to_string(i) + "}\n";
  return out + extra + "stages:\n" + stages;
}

}  // namespace clampbook::test
