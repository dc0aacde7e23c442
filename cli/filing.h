// Where an entry of `log` belongs, and what it says: everything that can be refused is refused here, before
// anything is written.
#pragma once

#include "cli/log_value.h"
#include "cli/session.h"

#include <optional>
#include <string>

namespace clampbook::cli {

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

/// Says what was recorded, in text or as JSON.
void answer(const Recorded& recorded, Context& context);

}  // namespace clampbook::cli
