// What every verb gets: where to write, how to write it, and the time.
#pragma once

#include "cli/arguments.h"
#include "cli/exit_status.h"

#include <clampbook/bench/request.h>
#include <clampbook/record/timestamp.h>
#include <clampbook/report/text_style.h>
#include <clampbook/text/json.h>
#include <clampbook/text/source.h>
#include <clampbook/units/format.h>

#include <functional>
#include <iosfwd>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::cli {

struct Context {
  std::istream& in;
  std::ostream& out;
  std::ostream& err;
  std::function<record::Timestamp()> now;
  bool json = false;
  bool ascii = false;  ///< asked for, or the locale is not UTF-8
  bool colour = false;
  bool quiet = false;
  std::optional<units::System> system{};  ///< as asked for with --units
};

struct Command {
  const VerbSpec& spec;
  ExitStatus (*run)(const Arguments&, Context&);
};

/// Writes one JSON object and a line feed.
void write_json(Context& context, const text::Json& json);
/// How reports are to be written in this context; `written` is the schedule's unit system.
[[nodiscard]] report::TextStyle text_style(const Context& context,
                                           units::System written = units::System::metric);
/// Writes text for a person, reduced to ASCII where the context asks for it.
void write_text(Context& context, std::string_view text);
/// The same to the stream of errors.
void write_error(Context& context, std::string_view text);

using text::argument;
using text::whole;

/// Whether something falls short of the schedule.
[[nodiscard]] ExitStatus status_of(const std::vector<review::Finding>& findings);
/// Says what came of an entry, in text or as JSON.
void say(const bench::Answer& answer, Context& context);

// One of these in each command_<verb>.cpp.
[[nodiscard]] Command bolt_command();
[[nodiscard]] Command convert_command();
[[nodiscard]] Command new_command();
[[nodiscard]] Command plan_command();
[[nodiscard]] Command predict_command();
[[nodiscard]] Command begin_command();
[[nodiscard]] Command log_command();
[[nodiscard]] Command amend_command();
[[nodiscard]] Command report_command();
[[nodiscard]] Command history_command();
[[nodiscard]] Command check_command();
[[nodiscard]] Command guide_command();
[[nodiscard]] Command trace_command();
[[nodiscard]] Command completion_command();

}  // namespace clampbook::cli
