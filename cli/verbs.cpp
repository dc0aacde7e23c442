#include "cli/verbs.h"

#include <clampbook/report/text_style.h>

#include <fmt/format.h>

#include <array>

namespace clampbook::cli {

namespace {

struct Verb {
  std::string_view name;
  Command (*make)();
};

// In the order in which a job uses them.
constexpr std::array kVerbs{
    Verb{"new", new_command},         Verb{"plan", plan_command},
    Verb{"predict", predict_command}, Verb{"bolt", bolt_command},
    Verb{"begin", begin_command},     Verb{"log", log_command},
    Verb{"guide", guide_command},     Verb{"amend", amend_command},
    Verb{"check", check_command},     Verb{"report", report_command},
    Verb{"trace", trace_command},     Verb{"history", history_command},
    Verb{"convert", convert_command}, Verb{"completion", completion_command},
};

}  // namespace

std::optional<Command> find_command(std::string_view verb) {
  for (const Verb& v : kVerbs)
    if (v.name == verb) return v.make();
  return std::nullopt;
}

std::vector<std::string_view> verb_names() {
  std::vector<std::string_view> out;
  out.reserve(kVerbs.size());
  for (const Verb& v : kVerbs) out.push_back(v.name);
  return out;
}

std::string overview() {
  std::string out =
      "usage: clampbook VERB ...\n\n"
      "Plans staged bolt tightening, keeps the record, and says what was missed.\n\n";
  for (const Verb& v : kVerbs) out += help_row(v.name, v.make().spec.summary, 14);
  out += "\nEverywhere:\n";
  for (const Option& o : global_options())
    out += help_row(fmt::format("{} {}", o.name, o.value), o.help, kHelpColumn);
  return out + "\nclampbook VERB --help shows the rest.\n\n" + report::standing_cautions(80);
}

std::string_view program_version() {
  return CLAMPBOOK_VERSION;
}

}  // namespace clampbook::cli
