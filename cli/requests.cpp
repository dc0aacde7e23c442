#include "cli/requests.h"

#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <array>
#include <string>
#include <utility>

namespace clampbook::cli {

using bench::AmendRequest;
using bench::Word;

namespace {

constexpr std::array<std::pair<std::string_view, AmendRequest::Act>, 6> kActs{
    {{"--void", AmendRequest::Act::void_line},
     {"--fitted", AmendRequest::Act::fitted},
     {"--removed", AmendRequest::Act::removed},
     {"--unsure", AmendRequest::Act::unsure},
     {"--accept", AmendRequest::Act::accept},
     {"--abandon", AmendRequest::Act::abandon}}};

bench::Words words_of(const Arguments& arguments) {
  return {arguments.value("--by"), arguments.value("--note"), arguments.value("--because")};
}

}  // namespace

std::optional<Word> word_of(const Arguments& arguments, std::string_view name) {
  const auto text = name.starts_with('-') ? arguments.value(name) : arguments.operand(name);
  return text ? std::optional(Word{std::string(name), *text}) : std::nullopt;
}

bench::EntryRequest entry_request(const Arguments& arguments) {
  const auto word = [&](std::string_view name) { return word_of(arguments, name); };
  bench::EntryRequest out;
  out.pass = word("--pass");
  out.bolt = word("BOLT");
  out.value = word("VALUE");
  out.unit = word("UNIT");
  out.also = word("--also");
  out.tick = arguments.has("--tick");
  out.no_turn = arguments.has("--no-turn");
  out.count = word("--count");
  out.measure = word("--measure");
  out.stage = word("--stage");
  out.label = word("--label");
  out.correct = word("--correct");
  out.tool = word("--tool");
  out.at = word("--at");
  out.key = word("--key");
  out.words = words_of(arguments);
  return out;
}

AmendRequest amend_request(const Arguments& arguments) {
  AmendRequest out;
  std::string_view action;
  for (const auto& [option, act] : kActs) {
    if (!arguments.has(option)) continue;
    if (!action.empty())
      throw UsageError(text::Diagnostic{"bad-option", fmt::format("{} and {} are two things", action, option),
                                        "say one at a time"});
    action = option;
    out.act = act;
    out.what = word_of(arguments, option);
  }
  if (action.empty() && !arguments.has("--note"))
    throw UsageError(text::Diagnostic{
        "missing-argument",
        "amend needs one of --void, --fitted, --removed, --unsure, --accept, --abandon and --note",
        "clampbook amend --help"});
  if (arguments.has("--uses") && action != "--fitted")
    throw UsageError(text::Diagnostic{"bad-option", "--uses belongs to --fitted", ""});
  out.uses = word_of(arguments, "--uses");
  out.pass = word_of(arguments, "--pass");
  out.key = word_of(arguments, "--key");
  out.words = words_of(arguments);
  return out;
}

}  // namespace clampbook::cli
