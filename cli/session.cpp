#include "cli/session.h"

#include "cli/log_value.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace clampbook::cli {

using review::Finding;
using text::Json;

Session::Session(std::string book_name)
    : book_name_(std::move(book_name)),
      book_(book_name_, record::BookFile::Missing::refuse),
      passes_(review::read_passes(book_.book())) {}

bool Session::resume() {
  const bool changed = book_.resume();
  if (changed) {
    passes_ = review::read_passes(book_.book());
    judged_.reset();
  }
  return changed;
}

review::Pass* Session::pass_of(const record::Event& event) {
  const auto number = event.integer("pass");
  const auto found =
      std::find_if(passes_.begin(), passes_.end(), [&](const review::Pass& p) { return p.number == number; });
  return found == passes_.end() ? nullptr : &*found;
}

const record::Event* find_key(const record::Book& book, const std::string& book_name,
                              const std::optional<std::string>& key, const std::string& typed) {
  if (!key) return nullptr;
  for (const record::Event& event : book.events) {
    if (event.text("key") != key) continue;
    if (event.text("typed") == typed) return &event;
    text::Diagnostic d{"key-reused",
                       fmt::format("the key '{}' stands for something else, on line {}", *key, event.seq),
                       "take a new key for a new entry; nothing was recorded"};
    d.file = book_name;
    throw UsageError(std::move(d));
  }
  return nullptr;
}

std::optional<Recorded> Session::repeated(const std::optional<std::string>& key, const std::string& typed) {
  const record::Event* event = find_key(book_.book(), book_name_, key, typed);
  if (event == nullptr) return std::nullopt;
  const review::Pass* pass = pass_of(*event);
  Recorded out{event, pass, true};
  if (pass == nullptr) return out;
  for (const Finding& finding : findings(*pass))
    if (finding.seq == event->seq) out.findings.push_back(finding);
  out.next = review::Progress(*pass).due();
  return out;
}

const std::vector<Finding>& Session::findings(const review::Pass& pass) {
  const std::int64_t lines = book_.book().lines;
  if (!judged_ || judged_->pass != pass.number || judged_->lines != lines)
    judged_ = Judged{pass.number, lines,
                     review::find_findings(book_.book(), passes_, pass, review::Until::at_once)};
  return judged_->findings;
}

Recorded Session::record(review::Pass& pass, const record::NewEvent& event, record::Timestamp now) {
  const std::vector<Finding> before = findings(pass);  // a copy: the next judgement takes its place
  static_cast<void>(book_.append({event}, now));
  const record::Event& written = book_.book().events.back();
  review::apply(pass, written);
  Recorded out{&written, &pass};
  out.findings = review::not_in(before, findings(pass));
  out.next = review::Progress(pass).due();
  return out;
}

std::string typed_content(std::string_view verb, const Arguments& arguments) {
  static constexpr std::array<std::string_view, 9> kLeftOut{
      "--key", "--json", "--units", "--color", "--ascii", "--quiet", "--verbose", "--help", "--version"};
  std::string all(verb);
  for (const auto& [name, words] : arguments.all_operands())
    if (name != "BOOK")
      for (const std::string& word : words) all += fmt::format("\n{}={}", name, word);
  for (const auto& [name, value] : arguments.all_options())
    if (std::find(kLeftOut.begin(), kLeftOut.end(), name) == kLeftOut.end())
      all += fmt::format("\n{}={}", name, value);
  return record::seal_of(all);
}

void append_remarks(Json::Object& members, const Arguments& arguments, const std::string& typed) {
  const auto add = [&](std::string_view name) {
    members.emplace_back(name.substr(2), arguments.value(name));
  };
  add("--key");
  if (arguments.has("--key")) members.emplace_back("typed", typed);
  for (const std::string_view name : {"--tool", "--by", "--note", "--because"}) add(name);
}

namespace {

// The member whose key is the word, or the word with a machine suffix; a null under the suffix that the step
// asks for.
std::pair<std::string, Json> suffixed_member(const record::Event& event, std::string_view word,
                                             std::optional<units::Dimension> fallback) {
  for (const auto& [key, value] : *event.body.as_object())
    if (key == word || (key.starts_with(word) && key[word.size()] == '_')) return {key, value};
  return {std::string(word) + std::string(fallback ? units::machine_suffix(*fallback) : std::string_view()),
          Json()};
}

Json member(const record::Event& event, std::string_view key) {
  const Json* found = event.body.find(key);
  return found != nullptr ? *found : Json();
}

}  // namespace

Json to_json(const Recorded& recorded) {
  const record::Event& event = *recorded.event;
  const plan::Step* step = nullptr;
  if (recorded.pass != nullptr && event.kind == "reading")
    if (const auto number = event.integer("step"))
      step = review::Progress(*recorded.pass, true).find(static_cast<int>(*number));
  const bool loosened = step != nullptr && step->kind == plan::StageKind::loosen;
  Json out = Json::object();
  out.set("seq", event.seq)
      .set("pass", member(event, "pass"))
      .set("step", member(event, "step"))
      .set("stage", member(event, "stage"))
      .set("bolt", member(event, "bolt"))
      .set("kind", event.kind);
  auto value = suffixed_member(event, "value",
                               step != nullptr && !loosened ? step->reading_dimension() : std::nullopt);
  auto also = suffixed_member(event, "also", step != nullptr ? companion_dimension(*step) : std::nullopt);
  out.set(value.first, std::move(value.second))
      .set(also.first, std::move(also.second))
      .set("given", member(event, "given"));
  out.set("at", record::to_string(event.at))
      .set("written", record::to_string(event.written))
      .set("repeated", recorded.repeated);
  Json list = Json::array();
  for (const Finding& finding : recorded.findings) list.push(review::to_json(finding));
  return std::move(out.set("findings", std::move(list))
                       .set("next", recorded.next != nullptr ? plan::to_json(*recorded.next) : Json()));
}

}  // namespace clampbook::cli
