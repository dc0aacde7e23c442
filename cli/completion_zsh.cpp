#include "cli/completion.h"
#include "cli/verbs.h"

#include <fmt/format.h>

namespace clampbook::cli {

namespace {

// A text inside '...' in which the given characters mean something to the receiver.
std::string quoted(std::string_view text, std::string_view special) {
  std::string out;
  for (const char c : text) {
    if (c == '\'') {
      out += "'\\''";
    } else {
      if (special.find(c) != std::string_view::npos) out += '\\';
      out += c;
    }
  }
  return out;
}

std::string action(std::string_view placeholder) {
  switch (offer_for(placeholder)) {
    case Offer::files:
      return "_files";
    case Offer::folders:
      return "_files -/";
    case Offer::words:
      return "(" + offered_words(placeholder) + ")";
    case Offer::nothing:
      break;
  }
  return " ";
}

std::string option_row(const Option& option) {
  std::string out = fmt::format("'{}", option.name);
  if (!option.value.empty() && option.name.starts_with("--")) out += "=";
  out += fmt::format("[{}]", quoted(option.help, "[]\\"));
  if (!option.value.empty()) out += fmt::format(":{}:{}", quoted(option.value, ":\\"), action(option.value));
  return out + "'";
}

std::string operand_row(const Operand& operand, std::size_t number) {
  const std::string place = operand.repeated ? "*" : std::to_string(number);
  return fmt::format("'{}:{}:{}'", place, quoted(operand.name, ":\\"), action(operand.name));
}

}  // namespace

std::string zsh_completion() {
  std::string everywhere;
  for (const Option& o : global_options()) everywhere += fmt::format("    {}\n", option_row(o));
  std::string verbs;
  std::string cases;
  for (const std::string_view name : verb_names()) {
    const VerbSpec& verb = find_command(name)->spec;
    verbs += fmt::format("        '{}:{}'\n", name, quoted(verb.summary, ":\\"));
    cases += fmt::format("        {})\n          _arguments $everywhere", name);
    for (const Option& o : verb.options) cases += fmt::format(" \\\n            {}", option_row(o));
    for (std::size_t i = 0; i < verb.operands.size(); ++i)
      cases += fmt::format(" \\\n            {}", operand_row(verb.operands[i], i + 1));
    cases += "\n          ;;\n";
  }
  return fmt::format(
      "#compdef clampbook\n"
      "# Completion of clampbook in zsh; clampbook completion zsh makes it.\n\n"
      "_clampbook() {{\n"
      "  local curcontext=$curcontext state state_descr line\n"
      "  local -A opt_args\n"
      "  local -a everywhere verbs\n"
      "  everywhere=(\n{}  )\n"
      "  _arguments -C $everywhere '1:verb:->verb' '*::word:->words' && return\n"
      "  case $state in\n"
      "    verb)\n"
      "      verbs=(\n{}      )\n"
      "      _describe verb verbs\n"
      "      ;;\n"
      "    words)\n"
      "      case $words[1] in\n{}"
      "      esac\n"
      "      ;;\n"
      "  esac\n"
      "}}\n\n"
      "if [[ $funcstack[1] == _clampbook ]]; then _clampbook \"$@\"; else compdef _clampbook clampbook; fi\n",
      everywhere, verbs, cases);
}

}  // namespace clampbook::cli
