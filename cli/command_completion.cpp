#include "cli/command.h"
#include "cli/completion.h"

#include <clampbook/text/error.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

namespace clampbook::cli {

namespace {

constexpr std::string_view kOperand = "bash|zsh|fish";

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "completion",
      "Prints the script that lets a shell complete verbs, options and files.",
      {{kOperand, "the shell; the script goes to standard output"}},
      {},
      {"clampbook completion bash > clampbook.bash", "clampbook completion zsh > _clampbook",
       "clampbook completion fish > clampbook.fish"}};
  return kSpec;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string shell = *arguments.operand(kOperand);
  const std::optional<std::string> script = completion_script(shell);
  if (!script)
    throw UsageError(text::Diagnostic{"bad-option", fmt::format("there is no completion for '{}'", shell),
                                      fmt::format("one of: {}", text::list_words(kShells))});
  if (context.json) {
    write_json(context, text::Json::object().set("shell", shell).set("script", *script));
  } else {
    write_text(context, *script);
  }
  return ExitStatus::done;
}

}  // namespace

Command completion_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
