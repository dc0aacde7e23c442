#include "cli/completion.h"
#include "cli/verbs.h"

#include <fmt/format.h>

namespace clampbook::cli {

namespace {

// Words of its own, so that the script needs no library of completions.
constexpr std::string_view kBody = R"SCRIPT(
_clampbook() {
  local current=${COMP_WORDS[COMP_CWORD]} verb="" option="" kind="" options="" word
  local -i i place=0
  COMPREPLY=()
  for ((i = 1; i < COMP_CWORD; ++i)); do
    word=${COMP_WORDS[i]}
    # bash cuts a word at "=" and ":", and gives these as words.
    if [[ $word == ":" ]]; then
      i+=1
    elif [[ $word == "=" && -n $option ]]; then
      continue
    elif [[ -n $option ]]; then
      option=""
    elif [[ $word == -?* ]]; then
      _clampbook_value "$verb" "$word"
      [[ -z $kind || $word == *=* ]] || option=$word
    elif [[ -z $verb ]]; then
      verb=$word
    else
      place+=1
    fi
  done
  if [[ -n $option ]]; then
    _clampbook_value "$verb" "$option"
    [[ $current != "=" ]] || current=""
  elif [[ $current == -* ]]; then
    _clampbook_options "$verb"
    kind="words $options"
  else
    _clampbook_operand "$verb" "$place"
  fi
  case $kind in
    files) compopt -o filenames 2>/dev/null; mapfile -t COMPREPLY < <(compgen -f -- "$current") ;;
    folders) compopt -o filenames 2>/dev/null; mapfile -t COMPREPLY < <(compgen -d -- "$current") ;;
    words*) mapfile -t COMPREPLY < <(compgen -W "${kind#words}" -- "$current") ;;
  esac
  # Names in quotes or with a tilde are left to bash.
  if [[ $kind == f* && ${#COMPREPLY[@]} -eq 0 ]]; then compopt -o default 2>/dev/null; fi
}

complete -F _clampbook clampbook
)SCRIPT";

std::string kind_of(std::string_view placeholder) {
  switch (offer_for(placeholder)) {
    case Offer::files:
      return "files";
    case Offer::folders:
      return "folders";
    case Offer::words:
      return "\"words " + offered_words(placeholder) + "\"";
    case Offer::nothing:
      break;
  }
  return "nothing";
}

void add_values(std::string& out, std::string_view verb, std::span<const Option> options) {
  for (const Option& o : options)
    if (!o.value.empty()) out += fmt::format("    {}\" {}\") kind={} ;;\n", verb, o.name, kind_of(o.value));
}

std::string names(std::span<const Option> options) {
  std::string out;
  for (const Option& o : options) out += fmt::format("{}{}", out.empty() ? "" : " ", o.name);
  return out;
}

void add_operands(std::string& out, const VerbSpec& verb) {
  for (std::size_t i = 0; i < verb.operands.size(); ++i) {
    const Operand& operand = verb.operands[i];
    out += operand.repeated ? fmt::format("    \"{} \"*)", verb.name)
                            : fmt::format("    \"{} {}\")", verb.name, i);
    out += fmt::format(" kind={} ;;\n", kind_of(operand.name));
  }
}

}  // namespace

std::string bash_completion() {
  std::string values;
  std::string options;
  std::string operands;
  std::string verbs;
  for (const std::string_view name : verb_names()) {
    const VerbSpec& verb = find_command(name)->spec;
    verbs += fmt::format(" {}", name);
    add_values(values, name, verb.options);
    add_operands(operands, verb);
    options += fmt::format("    {}) options+=\" {}\" ;;\n", name, names(verb.options));
  }
  add_values(values, "*", global_options());
  return fmt::format(
             "# Completion of clampbook in bash; clampbook completion bash makes it.\n\n"
             "_clampbook_value() {{\n  kind=\"\"\n  case \"$1 $2\" in\n{}  esac\n}}\n\n"
             "_clampbook_options() {{\n  options=\"{}\"\n  case $1 in\n{}  esac\n}}\n\n"
             "_clampbook_operand() {{\n  kind=\"\"\n  case \"$1 $2\" in\n    \" 0\") kind=\"words{}\" ;;\n{}"
             "  esac\n}}\n",
             values, names(global_options()), options, verbs, operands) +
         std::string(kBody);
}

}  // namespace clampbook::cli
