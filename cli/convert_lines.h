// `clampbook convert -`: quantities from a stream, one a line, as fast as they can be read.
#pragma once

#include <clampbook/units/unit.h>

#include <cstddef>
#include <iosfwd>

namespace clampbook::cli {

struct LineConversion {
  const units::Unit* target = nullptr;  ///< null: each line to the counterpart of its own unit
  bool json = false;                    ///< one object a line, errors among them; else text, errors to `err`
  bool ascii = false;
};

/// Converts every line of `in`; blank lines are skipped, CR LF is accepted. What has arrived is answered
/// before more is waited for. Returns how many lines were bad. Throws StoreError when `out` fails.
[[nodiscard]] std::size_t convert_lines(std::istream& in, std::ostream& out, std::ostream& err,
                                        const LineConversion& how);

}  // namespace clampbook::cli
