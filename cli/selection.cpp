#include "cli/selection.h"

#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::cli {

using review::Pass;

text::SourcePtr argument(std::string_view name, std::string_view word) {
  return std::make_shared<const text::Source>(std::string(name), std::string(word),
                                              text::Source::Kind::argument);
}

text::Location whole(const text::SourcePtr& argument) {
  return {argument, 0, std::max<std::size_t>(argument->text().size(), 1)};
}

namespace {

constexpr std::size_t kMostNamed = 6;  // passes, in a message

[[noreturn]] void refuse(const std::string& book, std::string slug, std::string message, std::string help) {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = book;
  throw UsageError(std::move(d));
}

Pass& named_pass(std::vector<Pass>& passes, const std::string& word, const std::string& book) {
  const text::SourcePtr source = argument("--pass", word);
  const text::NumberScan scan = text::scan_number(word);
  if (!scan)
    throw InputError(text::Diagnostic{std::string(text::slug(scan.fault)), text::describe(scan.fault, word),
                                      text::suggest(scan.fault, word), whole(source)});
  for (Pass& pass : passes)
    if (static_cast<double>(pass.number) == scan.value) return pass;
  refuse(book, "which-pass", fmt::format("the book has no pass {}", word),
         passes.empty() ? "clampbook begin BOOK FILE begins one"
                        : fmt::format("it has 1 to {}", passes.back().number));
}

Pass& meant_pass(std::vector<Pass>& passes, const Arguments& arguments, PassFor purpose,
                 const std::string& book) {
  if (const auto word = arguments.value("--pass")) return named_pass(passes, *word, book);
  if (passes.empty())
    refuse(book, "no-open-pass", "the book has no pass yet", "clampbook begin BOOK FILE begins one");
  if (purpose == PassFor::reading) return passes.back();
  // A pass with every step filled may still need a word: what was found on it is accepted, a line is voided.
  if (purpose == PassFor::amending && passes.size() == 1) return passes.front();
  std::vector<Pass*> open;
  for (Pass& pass : passes)
    if (review::is_open(pass)) open.push_back(&pass);
  if (open.size() == 1) return *open.front();
  if (open.empty() && passes.size() == 1 && !passes.front().abandoned)
    return passes.front();  // a second reading is filed, and found doubled
  // One that was lost may be open or not: nobody can tell.
  const auto lost = std::find_if(passes.begin(), passes.end(), [](const Pass& p) { return p.lost; });
  if (open.empty() && lost != passes.end()) return *lost;
  if (open.empty()) {
    std::string states;
    for (const Pass& pass : passes)
      states += fmt::format("{}{} ({}, {})", states.empty() ? ": " : ", ", pass.number, pass.title,
                            pass.abandoned ? "abandoned" : "every step has its entry");
    if (passes.size() > kMostNamed) states.clear();
    refuse(book, "no-open-pass", "every pass of the book is complete or abandoned" + states,
           "name one with --pass, or begin another");
  }
  std::string list;
  for (const Pass* pass : open)
    list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", pass->number, pass->title);
  refuse(book, "which-pass", fmt::format("{} passes are open: {}", open.size(), list),
         "name one with --pass");
}

}  // namespace

Pass& select_pass(std::vector<Pass>& passes, const Arguments& arguments, PassFor purpose,
                  const std::string& book) {
  Pass& pass = meant_pass(passes, arguments, purpose, book);
  if (!pass.lost) return pass;
  text::Diagnostic d{
      "altered-record",
      fmt::format("pass {} can't be followed: its plan and its schedule are both damaged", pass.number),
      "look for another copy of the book; clampbook begin BOOK FILE begins another pass"};
  d.file = book;
  throw InputError(std::move(d));
}

void require_bolt(const Pass& pass, const std::string& id) {
  std::vector<std::string_view> ids;
  for (const plan::PlanBolt& bolt : pass.plan.bolts) ids.push_back(bolt.id);
  const text::Location at = whole(argument("BOLT", id));
  if (std::find(ids.begin(), ids.end(), id) == ids.end()) {
    std::string help = text::did_you_mean(id, ids);
    if (help.empty() && ids.size() <= 24) help = "the bolts are " + text::list_words(ids, "and");
    throw InputError(
        text::Diagnostic{"unknown-bolt", fmt::format("bolt '{}' is not known", id), std::move(help), at});
  }
  const bool belongs = std::any_of(pass.plan.steps.begin(), pass.plan.steps.end(),
                                   [&](const plan::Step& s) { return s.bolt == id; });
  if (!belongs)
    throw InputError(text::Diagnostic{
        "not-in-pass",
        pass.only ? fmt::format("bolt {} is not in pass {}: this pass is for {}", id, pass.number,
                                text::printable(*pass.only))
                  : fmt::format("bolt {} is not in pass {}: no stage is for it", id, pass.number),
        fmt::format("look at the id that was typed, or begin a pass for bolt {}", id), at});
}

int find_stage(const Pass& pass, const std::string& word) {
  const text::Location at = whole(argument("--stage", word));
  const text::NumberScan number = text::scan_number(word);
  std::vector<int> found;
  std::vector<std::string_view> names;
  for (const plan::PlanStage& stage : pass.plan.stages) {
    if (stage.name) names.push_back(*stage.name);
    if (stage.name == word || (number && static_cast<double>(stage.stage) == number.value))
      found.push_back(stage.stage);
  }
  if (found.size() == 1) return found.front();
  if (found.size() > 1)
    throw InputError(text::Diagnostic{"unknown-stage", fmt::format("several stages are called '{}'", word),
                                      "give its number", at});
  std::string help = text::did_you_mean(word, names);
  if (help.empty()) help = fmt::format("the stages are numbered 1 to {}", pass.plan.stages.size());
  throw InputError(
      text::Diagnostic{"unknown-stage", fmt::format("stage '{}' is not known", word), std::move(help), at});
}

record::Timestamp time_taken(const Arguments& arguments, record::Timestamp now) {
  constexpr std::int64_t kAhead = 120'000;  // ms that two clocks may differ
  const auto word = arguments.value("--at");
  if (!word) return now;
  const text::Location at = whole(argument("--at", *word));
  const auto moment = record::parse_timestamp(*word);
  if (!moment)
    throw InputError(text::Diagnostic{"bad-time", fmt::format("'{}' is not a time with its offset", *word),
                                      fmt::format("for example {}", record::to_string(now)), at});
  if (moment->milliseconds - now.milliseconds > kAhead)
    throw InputError(text::Diagnostic{
        "future-time", fmt::format("{} lies ahead; it is {} now", *word, record::to_string(now)),
        "look at the date and at the offset", at});
  return *moment;
}

void require_key(const Arguments& arguments) {
  constexpr std::size_t kLongest = 64;
  const auto key = arguments.value("--key");
  if (key && (key->empty() || text::count_characters(*key) > kLongest))
    throw UsageError(text::Diagnostic{"bad-option", fmt::format("a key has 1 to {} characters", kLongest),
                                      "any text that is new for each entry", whole(argument("--key", *key))});
  // A book holds text: another key would stand there, and the same call again would not find its own.
  if (key && text::first_invalid_utf8(*key))
    throw UsageError(text::Diagnostic{"bad-option", "a key is UTF-8 text", "take letters and digits",
                                      whole(argument("--key", *key))});
}

}  // namespace clampbook::cli
