#include <clampbook/bench/key.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <map>

namespace clampbook::bench {

namespace {

constexpr std::size_t kLongestKey = 64;  // characters

void add(TypedWords& words, std::string_view name, const std::optional<Word>& word) {
  if (word) words.emplace_back(name, word->text);
}
void add(TypedWords& words, std::string_view name, const std::optional<std::string>& text) {
  if (text) words.emplace_back(name, *text);
}
void add(TypedWords& words, std::string_view name, bool flag) {
  if (flag) words.emplace_back(name, "");
}

std::string_view option_of(AmendRequest::Act act) {
  switch (act) {
    case AmendRequest::Act::void_line:
      return "--void";
    case AmendRequest::Act::fitted:
      return "--fitted";
    case AmendRequest::Act::removed:
      return "--removed";
    case AmendRequest::Act::unsure:
      return "--unsure";
    case AmendRequest::Act::accept:
      return "--accept";
    case AmendRequest::Act::abandon:
      return "--abandon";
    case AmendRequest::Act::note:
      break;
  }
  return "--note";
}

}  // namespace

std::string typed_digest(std::string_view verb, const TypedWords& operands, const TypedWords& options) {
  std::string all(verb);
  for (const TypedWords* words : {&operands, &options})
    for (const auto& [name, text] : *words) all += fmt::format("\n{}={}", name, text);
  return record::seal_of(all);
}

std::string typed_digest(const EntryRequest& request) {
  TypedWords operands, options;
  add(operands, "BOLT", request.bolt);
  add(operands, "UNIT", request.unit);
  add(operands, "VALUE", request.value);
  add(options, "--also", request.also);
  add(options, "--at", request.at);
  add(options, "--because", request.words.because);
  add(options, "--by", request.words.by);
  add(options, "--correct", request.correct);
  add(options, "--count", request.count);
  add(options, "--label", request.label);
  add(options, "--measure", request.measure);
  add(options, "--no-turn", request.no_turn);
  add(options, "--note", request.words.note);
  add(options, "--pass", request.pass);
  add(options, "--stage", request.stage);
  add(options, "--tick", request.tick);
  add(options, "--tool", request.tool);
  return typed_digest("log", operands, options);
}

std::string typed_digest(const AmendRequest& request) {
  std::map<std::string, std::string> options;
  const auto add_option = [&](std::string_view name, const std::optional<std::string>& text) {
    if (text) options.emplace(name, *text);
  };
  if (request.act != AmendRequest::Act::note)
    options.emplace(option_of(request.act), request.what ? request.what->text : std::string());
  if (request.uses) options.emplace("--uses", request.uses->text);
  if (request.pass) options.emplace("--pass", request.pass->text);
  add_option("--because", request.words.because);
  add_option("--by", request.words.by);
  add_option("--note", request.words.note);
  return typed_digest("amend", {}, {options.begin(), options.end()});
}

void require_key(const std::optional<Word>& key) {
  if (!key) return;
  if (key->text.empty() || text::count_characters(key->text) > kLongestKey)
    throw UsageError(text::Diagnostic{"bad-option", fmt::format("a key has 1 to {} characters", kLongestKey),
                                      "any text that is new for each entry", key->place()});
  // A book holds text: another key would stand there, and the same call again would not find its own.
  if (text::first_invalid_utf8(key->text))
    throw UsageError(
        text::Diagnostic{"bad-option", "a key is UTF-8 text", "take letters and digits", key->place()});
}

}  // namespace clampbook::bench
