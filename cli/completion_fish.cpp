#include "cli/completion.h"
#include "cli/verbs.h"

#include <fmt/format.h>

#include <set>

namespace clampbook::cli {

namespace {

// True when the words before the cursor have this verb, and as many operands after it as the second
// argument says, if there is one. The list of options with a value fills the gap.
constexpr std::string_view kHead = R"SCRIPT(
function __clampbook_at
    set -l verb ''
    set -l place 0
    set -l value no
    set -l words (commandline -opc)
    for word in $words[2..]
        if test $value = yes
            set value no
        else if string match -q -- '-?*' $word
            contains -- $word $__clampbook_with_value; and set value yes
        else if test -z "$verb"
            set verb $word
        else
            set place (math $place + 1)
        end
    end
    test "$verb" = "$argv[1]"; and test (count $argv) -eq 1 -o "$place" = "$argv[2]"
end

complete -c clampbook -f
)SCRIPT";

std::string quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'' || c == '\\') out += '\\';
    out += c;
  }
  return out + "'";
}

std::string action(std::string_view placeholder) {
  switch (offer_for(placeholder)) {
    case Offer::files:
      return "-r -F";
    case Offer::folders:
      return "-x -a '(__fish_complete_directories)'";
    case Offer::words:
      return "-x -a " + quoted(offered_words(placeholder));
    case Offer::nothing:
      break;
  }
  return "-x";
}

std::string option_row(const Option& option, const std::string& where) {
  std::string out = "complete -c clampbook" + where;
  out += option.name.starts_with("--") ? fmt::format(" -l {}", option.name.substr(2))
                                       : fmt::format(" -s {}", option.name.substr(1));
  if (!option.value.empty()) out += " " + action(option.value);
  return out + fmt::format(" -d {}\n", quoted(option.help));
}

std::string operand_row(const VerbSpec& verb, std::size_t i) {
  const Operand& operand = verb.operands[i];
  const Offer offer = offer_for(operand.name);
  if (offer == Offer::nothing) return "";
  const std::string place = operand.repeated ? "" : fmt::format(" {}", i);
  const std::string what = offer == Offer::words     ? "-f -a " + quoted(offered_words(operand.name))
                           : offer == Offer::folders ? "-f -a '(__fish_complete_directories)'"
                                                     : "-F";
  return fmt::format("complete -c clampbook -n '__clampbook_at {}{}' {}\n", verb.name, place, what);
}

}  // namespace

std::string fish_completion() {
  std::set<std::string_view> with_value;
  std::string rows;
  const auto add = [&](const Option& o, const std::string& where) {
    if (!o.value.empty()) with_value.insert(o.name);
    rows += option_row(o, where);
  };
  for (const Option& o : global_options()) add(o, "");
  for (const std::string_view name : verb_names()) {
    const VerbSpec& verb = find_command(name)->spec;
    rows += fmt::format("\ncomplete -c clampbook -n '__clampbook_at \"\"' -a {} -d {}\n", name,
                        quoted(verb.summary));
    for (const Option& o : verb.options) add(o, fmt::format(" -n '__clampbook_at {}'", name));
    for (std::size_t i = 0; i < verb.operands.size(); ++i) rows += operand_row(verb, i);
  }
  std::string out = "# Completion of clampbook in fish; clampbook completion fish makes it.\n\n";
  out += "set -g __clampbook_with_value";
  for (const std::string_view name : with_value) out += fmt::format(" {}", name);
  return out + "\n" + std::string(kHead) + rows;
}

}  // namespace clampbook::cli
