// Where an entry of `log` belongs, and what it says: everything that can be refused is refused here, before
// anything is written.
#pragma once

#include "cli/log_value.h"
#include "cli/session.h"

#include <optional>
#include <string>

namespace clampbook::cli {

/// The tool that --tool names in the pass's list; nullptr when it is no torque wrench of a list. Throws
/// InputError (unknown-tool).
[[nodiscard]] const schedule::TorqueWrench* find_wrench(const review::Pass& pass, const Arguments& arguments);

/// The parts of a call that do not depend on the book.
struct Call {
  bool gate = false;
  record::Timestamp now, at;
  std::string typed{};  ///< see typed_content
};

/// Throws UsageError and InputError for options that exclude each other, keys and times.
[[nodiscard]] Call read_call(const Arguments& arguments, record::Timestamp now);

/// Files the entry in the pass it belongs to and records it.
[[nodiscard]] Recorded file_entry(Session& session, const Arguments& arguments, const Call& call);

/// "recorded 12: bolt 3, step 14, stage 4 (torque): 30.1 N·m, in window 28.8..31.2 N·m".
[[nodiscard]] std::string recorded_text(const Recorded& recorded, const report::TextStyle& style);

/// Says what was recorded, in text or as JSON.
void answer(const Recorded& recorded, Context& context);

}  // namespace clampbook::cli
