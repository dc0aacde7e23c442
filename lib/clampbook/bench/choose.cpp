#include <clampbook/bench/choose.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::bench {

using review::Pass;

namespace {

constexpr std::size_t kMostNamed = 6;  // passes, in a message
constexpr std::size_t kMostBoltsNamed = 24;

[[noreturn]] void refuse(const std::string& book, std::string slug, std::string message, std::string help) {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = book;
  throw UsageError(std::move(d));
}

[[noreturn]] void refuse_number(const Word& word, const text::NumberScan& scan) {
  throw InputError(text::Diagnostic{std::string(text::slug(scan.fault)),
                                    text::describe(scan.fault, word.text),
                                    text::suggest(scan.fault, word.text), word.place()});
}

const Pass& named_pass(const std::vector<Pass>& passes, const Word& word, const std::string& book) {
  const text::NumberScan scan = text::scan_number(word.text);
  if (!scan) refuse_number(word, scan);
  for (const Pass& pass : passes)
    if (static_cast<double>(pass.number) == scan.value) return pass;
  refuse(book, "which-pass", fmt::format("the book has no pass {}", word.text),
         passes.empty() ? "clampbook begin BOOK FILE begins one"
                        : fmt::format("it has 1 to {}", passes.back().number));
}

[[noreturn]] void refuse_no_open(const std::vector<Pass>& passes, const std::string& book) {
  std::string states;
  for (const Pass& pass : passes)
    states += fmt::format("{}{} ({}, {})", states.empty() ? ": " : ", ", pass.number, pass.title,
                          pass.abandoned ? "abandoned" : "every step has its entry");
  if (passes.size() > kMostNamed) states.clear();
  refuse(book, "no-open-pass", "every pass of the book is complete or abandoned" + states,
         "name one with --pass, or begin another");
}

const Pass& only_open_pass(const std::vector<Pass>& passes, const std::string& book) {
  std::vector<const Pass*> open;
  for (const Pass& pass : passes)
    if (review::is_open(pass)) open.push_back(&pass);
  if (open.size() == 1) return *open.front();
  if (open.empty() && passes.size() == 1 && !passes.front().abandoned)
    return passes.front();  // a second reading is filed, and found doubled
  // One that was lost may be open or not: nobody can tell.
  const auto lost = std::find_if(passes.begin(), passes.end(), [](const Pass& p) { return p.lost; });
  if (open.empty() && lost != passes.end()) return *lost;
  if (open.empty()) refuse_no_open(passes, book);
  std::string list;
  for (const Pass* pass : open)
    list += fmt::format("{}{} ({})", list.empty() ? "" : ", ", pass->number, pass->title);
  refuse(book, "which-pass", fmt::format("{} passes are open: {}", open.size(), list),
         "name one with --pass");
}

const Pass& meant_pass(const std::vector<Pass>& passes, const std::optional<Word>& word, PassFor purpose,
                       const std::string& book) {
  if (word) return named_pass(passes, *word, book);
  if (passes.empty())
    refuse(book, "no-open-pass", "the book has no pass yet", "clampbook begin BOOK FILE begins one");
  if (purpose == PassFor::reading) return passes.back();
  // A pass with every step filled may still need a word: what was found on it is accepted, a line is voided.
  if (purpose == PassFor::amending && passes.size() == 1) return passes.front();
  return only_open_pass(passes, book);
}

}  // namespace

const Pass& choose_pass(const std::vector<Pass>& passes, const std::optional<Word>& word, PassFor purpose,
                        const std::string& book) {
  const Pass& pass = meant_pass(passes, word, purpose, book);
  if (!pass.lost) return pass;
  text::Diagnostic d{
      "altered-record",
      fmt::format("pass {} can't be followed: its plan and its schedule are both damaged", pass.number),
      "look for another copy of the book; clampbook begin BOOK FILE begins another pass"};
  d.file = book;
  throw InputError(std::move(d));
}

void require_bolt(const Pass& pass, const Word& word) {
  const std::string& id = word.text;
  if (!pass.index.bolt(id)) {
    std::vector<std::string_view> ids;
    for (const plan::PlanBolt& bolt : pass.plan.bolts) ids.push_back(bolt.id);
    std::string help = text::did_you_mean(id, ids);
    if (help.empty() && ids.size() <= kMostBoltsNamed) help = "the bolts are " + text::list_words(ids, "and");
    throw InputError(text::Diagnostic{"unknown-bolt", fmt::format("bolt '{}' is not known", id),
                                      std::move(help), word.place()});
  }
  if (pass.index.turning(id).empty())
    throw InputError(text::Diagnostic{
        "not-in-pass",
        pass.only ? fmt::format("bolt {} is not in pass {}: this pass is for {}", id, pass.number,
                                text::printable(*pass.only))
                  : fmt::format("bolt {} is not in pass {}: no stage is for it", id, pass.number),
        fmt::format("look at the id that was typed, or begin a pass for bolt {}", id), word.place()});
}

std::vector<std::string> choose_bolts(const Pass& pass, const Word& words) {
  schedule::Schedule names;  // what select_bolts needs of a schedule
  for (const plan::PlanBolt& bolt : pass.plan.bolts) names.bolts.push_back({bolt.id, {}, {}, 0, bolt.group});
  std::vector<std::string> out;
  for (const std::size_t i : schedule::select_bolts(names, words.source())) {
    require_bolt(pass, {"BOLT", names.bolts[i].id});
    out.push_back(names.bolts[i].id);
  }
  return out;
}

int choose_stage(const Pass& pass, const Word& stage) {
  const std::string& word = stage.text;
  const text::Location at = stage.place();
  const text::NumberScan number = text::scan_number(word);
  std::vector<int> found;
  std::vector<std::string_view> names;
  for (const plan::PlanStage& s : pass.plan.stages) {
    if (s.name) names.push_back(*s.name);
    if (s.name == word || (number && static_cast<double>(s.stage) == number.value)) found.push_back(s.stage);
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

std::int64_t whole_number(const Word& word) {
  constexpr double kLargest = 1e9;
  const text::NumberScan scan = text::scan_number(word.text);
  if (!scan) refuse_number(word, scan);
  if (scan.value < 0 || scan.value > kLargest || scan.value != std::floor(scan.value))
    throw InputError(text::Diagnostic{"bad-number", fmt::format("'{}' is not a whole number", word.text), "",
                                      word.place()});
  return static_cast<std::int64_t>(scan.value);
}

record::Timestamp time_taken(const std::optional<Word>& given, record::Timestamp now) {
  constexpr std::int64_t kAhead = 120'000;  // ms that two clocks may differ
  if (!given) return now;
  const std::string& word = given->text;
  const text::Location at = given->place();
  const auto moment = record::parse_timestamp(word);
  if (!moment)
    throw InputError(text::Diagnostic{"bad-time", fmt::format("'{}' is not a time with its offset", word),
                                      fmt::format("for example {}", record::to_string(now)), at});
  if (moment->milliseconds - now.milliseconds > kAhead)
    throw InputError(text::Diagnostic{
        "future-time", fmt::format("{} lies ahead; it is {} now", word, record::to_string(now)),
        "look at the date and at the offset", at});
  return *moment;
}

const schedule::TorqueWrench* choose_wrench(const Pass& pass, const std::optional<Word>& tool) {
  if (!tool || !pass.tools) return nullptr;
  const std::string& name = tool->text;
  std::vector<std::string_view> known;
  for (const schedule::TorqueWrench& wrench : pass.tools->torque_wrenches) {
    if (wrench.name == name) return &wrench;
    known.push_back(wrench.name);
  }
  for (const auto* gauges : {&pass.tools->angle_gauges, &pass.tools->length_gauges}) {
    for (const schedule::Gauge& gauge : *gauges) {
      if (gauge.name == name) return nullptr;
      known.push_back(gauge.name);
    }
  }
  std::string help = text::did_you_mean(name, known);
  if (help.empty()) help = "the pass was begun with " + text::list_words(known, "and");
  throw InputError(text::Diagnostic{"unknown-tool", fmt::format("tool '{}' is not known", name),
                                    std::move(help), tool->place()});
}

}  // namespace clampbook::bench
