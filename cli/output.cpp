#include "cli/output.h"

#include <clampbook/record/output_file.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>
#include "cli/command.h"

#include <fmt/format.h>

namespace clampbook::cli {

void write_output(const std::string& path, std::string_view text, const std::vector<std::string>& inputs) {
  for (const std::string& input : inputs)
    if (!input.empty() && record::is_same_file(path, input))
      throw UsageError(text::Diagnostic{"bad-option", fmt::format("{} is read by this call", path),
                                        "choose another name to write to", whole(argument("FILE", path))});
  record::write_output_file(path, text, record::Existing::replace);
}

void say_written(Context& context, std::string_view path, std::string_view remark) {
  if (context.json || context.quiet) return;
  write_text(context,
             fmt::format("written: {}{}{}\n", text::printable(path), remark.empty() ? "" : ", ", remark));
}

}  // namespace clampbook::cli
