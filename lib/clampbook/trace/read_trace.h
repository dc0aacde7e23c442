// A logger's file, as a curve: columns by name, one pass, a block at a time.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/trace/curve.h>

#include <cstddef>
#include <iosfwd>
#include <string>
#include <vector>

namespace clampbook::trace {

struct TraceFile {
  Curve curve{};
  std::vector<std::string> notes{};  ///< what was left out or put in order
};

/// Reads comma-, semicolon- or tab-separated values. The first line that is neither blank nor a comment (`#`)
/// names the columns: `angle_deg | angle_rad | angle_turn`, `torque_Nm | torque_ftlb | torque_inlb |
/// torque_kgfm`, and, if it likes, `time_s | time_ms`, in any order; other columns are skipped. Rows with an
/// empty cell or "nan" are left out. A decimal comma only between semicolons. Memory does not grow with the
/// file, only with the angle turned.
/// in      name  of the file, for messages
/// throws  InputError: bad-csv (with its place), not-utf8, too-large (over half a million degrees)
[[nodiscard]] TraceFile read_trace(std::istream& in, const std::string& name);

}  // namespace clampbook::trace
