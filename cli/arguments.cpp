#include "cli/arguments.h"

#include <clampbook/report/text_style.h>
#include <clampbook/text/error.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <array>

namespace clampbook::cli {

std::span<const Option> global_options() {
  static constexpr std::array<Option, 8> kOptions{{
      {"--json", "", "machine output: one JSON object"},
      {"--units", "metric|imperial", "units of text (default: as written)"},
      {"--color", "auto|always|never", "taken, though text has no colours yet"},
      {"--ascii", "", "no character beyond ASCII"},
      {"--quiet", "", "only what was asked for, and the cautions (-q)"},
      {"--verbose", "", "taken, though it adds nothing yet (-v)"},
      {"--help", "", "show this help (-h)"},
      {"--version", "", "show the version"},
  }};
  return kOptions;
}

std::optional<std::string> Arguments::value(std::string_view option) const {
  const auto found = options_.find(option);
  return found == options_.end() ? std::nullopt : std::optional(found->second);
}

std::optional<std::string> Arguments::operand(std::string_view name) const {
  const auto found = operands_.find(name);
  return found == operands_.end() || found->second.empty() ? std::nullopt
                                                           : std::optional(found->second.front());
}

std::vector<std::string> Arguments::operands(std::string_view name) const {
  const auto found = operands_.find(name);
  return found == operands_.end() ? std::vector<std::string>() : found->second;
}

namespace {

[[noreturn]] void refuse(std::string slug, std::string message, const VerbSpec& verb, std::string help = {}) {
  if (help.empty()) help = fmt::format("clampbook {} --help", verb.name);
  throw UsageError(text::Diagnostic{std::move(slug), std::move(message), std::move(help)});
}

std::string flag_names(const Option& option) {
  if (option.name == "--quiet") return "-q,--quiet";
  if (option.name == "--verbose") return "-v,--verbose";
  if (option.name == "--help") return "-h,--help";
  return std::string(option.name);
}

// The word that CLI11 could not place, with the option that was probably meant.
[[noreturn]] void refuse_extra(const std::string& word, const VerbSpec& verb) {
  if (word.starts_with("-") && word.size() > 1) {
    std::vector<std::string_view> names;
    for (const Option& option : verb.options) names.push_back(option.name);
    for (const Option& option : global_options()) names.push_back(option.name);
    refuse("bad-option", fmt::format("{} has no option {}", verb.name, word), verb,
           text::did_you_mean(word, names));
  }
  refuse("bad-option", fmt::format("'{}' is one word too many", word), verb);
}

// Words that CLI11 refuses, in words of ours where they are to be expected.
[[noreturn]] void refuse_words(const std::vector<std::string>& words, const VerbSpec& verb, std::string why) {
  const auto explain = [&](const Option& option) {
    const std::string name(option.name);
    if (!option.value.empty() && !words.empty() && words.back() == name) why = name + " needs a value";
    for (const std::string& word : words)
      if (option.value.empty() && word.starts_with(name + "=")) why = name + " takes no value";
  };
  for (const Option& option : global_options()) explain(option);
  for (const Option& option : verb.options) explain(option);
  refuse("bad-option", std::move(why), verb);
}

}  // namespace

Arguments parse_arguments(const VerbSpec& verb, const std::vector<std::string>& words) {
  CLI::App app;
  app.set_help_flag();
  app.allow_extras();
  std::map<std::string, std::vector<std::string>, std::less<>> values;
  std::map<std::string, std::size_t, std::less<>> flags;
  // Bound to a vector itself, a word {} would mean that there is none.
  const auto into = [](std::vector<std::string>& given) {
    return [&given](const CLI::results_t& results) {
      given = results;
      return true;
    };
  };
  const auto add = [&](const Option& option) {
    const std::string name(option.name);
    if (option.value.empty()) {
      app.add_flag(flag_names(option), flags[name])->disable_flag_override();
    } else {
      // As text, and all of them: numbers are read by the scan that reads files, and a second value is
      // refused below.
      app.add_option(name, into(values[name]))->expected(1)->take_all()->allow_extra_args(false);
    }
  };
  for (const Option& option : global_options()) add(option);
  for (const Option& option : verb.options) add(option);
  Arguments out;
  // A single operand binds to a string: a vector would swallow the words of the operands after it.
  std::map<std::string, std::string, std::less<>> singles;
  std::vector<std::pair<std::string, CLI::Option*>> single_options;
  for (const Operand& operand : verb.operands) {
    const std::string name(operand.name);
    if (operand.repeated) {
      app.add_option(name, into(out.operands_[name]))->expected(1, 1 << 20)->allow_extra_args();
    } else {
      single_options.emplace_back(name, app.add_option(name, singles[name]));
    }
  }
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::ParseError& e) {
    refuse_words(words, verb, e.what());
  }
  if (const std::vector<std::string> extra = app.remaining(); !extra.empty())
    refuse_extra(extra.front(), verb);
  for (const auto& [name, option] : single_options)
    if (option->count() > 0) out.operands_[name] = {singles[name]};
  for (const auto& [name, count] : flags)
    if (count > 0) out.options_[name] = "";
  for (const auto& [name, given] : values) {
    if (given.size() > 1) refuse("bad-option", fmt::format("{} is given twice", name), verb);
    if (!given.empty()) out.options_[name] = given.front();
  }
  if (out.has("--help")) return out;
  for (const Operand& operand : verb.operands)
    if (operand.required && out.operands_[std::string(operand.name)].empty())
      refuse("missing-argument", fmt::format("{} needs {}", verb.name, operand.name), verb);
  return out;
}

namespace {

// The text beside a column of names: later lines stand below the first.
std::string hanging(std::string_view text, std::size_t width, std::size_t column) {
  return report::wrapped(text, width, column, column).substr(column);
}

}  // namespace

std::string help_row(std::string_view left, std::string_view right, std::size_t column) {
  constexpr std::size_t kWidth = 80;
  std::string out = "  " + report::padded(left, column - 3) + " ";
  return out + hanging(right, kWidth, column) + "\n";
}

std::string help_text(const VerbSpec& verb) {
  std::string usage = fmt::format("usage: clampbook {}", verb.name);
  for (const Operand& operand : verb.operands) {
    const std::string word = std::string(operand.name) + (operand.repeated ? "..." : "");
    usage += operand.required ? " " + word : " [" + word + "]";
  }
  if (!verb.options.empty()) usage += " [options]";
  std::string out = usage + "\n\n" + report::wrapped(verb.summary, 80, 0, 0) + "\n";
  const auto row = [&out](std::string_view left, std::string_view right) {
    out += help_row(left, right, kHelpColumn);
  };
  if (!verb.operands.empty()) out += "\n";
  for (const Operand& operand : verb.operands) row(operand.name, operand.help);
  if (!verb.options.empty()) out += "\n";
  for (const Option& option : verb.options) row(fmt::format("{} {}", option.name, option.value), option.help);
  out += "\nEverywhere:\n";
  for (const Option& option : global_options())
    row(fmt::format("{} {}", option.name, option.value), option.help);
  if (!verb.examples.empty()) out += "\nExamples:\n";
  for (const std::string_view example : verb.examples) out += fmt::format("  {}\n", example);
  return out;
}

}  // namespace clampbook::cli
