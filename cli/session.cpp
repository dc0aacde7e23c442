#include "cli/session.h"

#include "cli/log_value.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

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
  const bool changed = book_.resume() != record::BookFile::Change::none;
  if (changed) {
    passes_ = review::read_passes(book_.book());
    judged_.reset();
  }
  return changed;
}

review::Pass* Session::pass_of(const record::Event& event) {
  const std::int64_t number = event.pass();
  const auto found =
      std::find_if(passes_.begin(), passes_.end(), [&](const review::Pass& p) { return p.number == number; });
  return found == passes_.end() ? nullptr : &*found;
}

const record::Event* find_key(const record::Book& book, const std::string& book_name,
                              const std::optional<std::string>& key, const std::string& typed) {
  if (!key) return nullptr;
  for (const record::Event& event : book.events) {
    if (event.remarks->key != key) continue;
    if (event.remarks->typed == typed) return &event;
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

Recorded Session::record(review::Pass& pass, const record::Draft& draft, record::Timestamp now) {
  const std::vector<Finding> before = findings(pass);  // a copy: the next judgement takes its place
  static_cast<void>(book_.append({&draft, 1}, now));
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

record::Remarks remarks_of(const Arguments& arguments, const std::string& typed) {
  const auto said = [&](std::string_view name) {
    std::optional<std::string> out = arguments.value(name);
    if (out) out = text::as_utf8(*out);
    return out;
  };
  record::Remarks out;
  out.key = arguments.value("--key");
  if (out.key) out.typed = typed;
  out.tool = said("--tool");
  out.by = said("--by");
  out.note = said("--note");
  out.because = said("--because");
  return out;
}

namespace {

using Member = std::pair<std::string, Json>;

Member suffixed(std::string_view word, std::optional<units::Dimension> dimension, Json value) {
  return {std::string(word) + std::string(dimension ? units::machine_suffix(*dimension) : std::string_view()),
          std::move(value)};
}

// A quantity under its own suffix; a null under the one that the step asks for.
Member suffixed(std::string_view word, const std::optional<record::Quantity>& quantity,
                std::optional<units::Dimension> fallback) {
  return quantity ? suffixed(word, quantity->dimension, quantity->value) : suffixed(word, fallback, {});
}

// What log and amend say of a line besides its place: value, also, given.
struct Said {
  Member value{"value", {}}, also{"also", {}};
  Json given{};
};

class Says {
 public:
  explicit Says(const plan::Step* step) : step_(step) {}

  Said operator()(const record::Reading& r) const {
    const bool loosened = step_ != nullptr && step_->kind == plan::StageKind::loosen;
    return {
        suffixed("value", r.value, step_ != nullptr && !loosened ? step_->reading_dimension() : std::nullopt),
        suffixed("also", r.also, step_ != nullptr ? companion_dimension(*step_) : std::nullopt),
        text(r.given)};
  }
  Said operator()(const record::Count& c) const { return {{"value", c.value}, {"also", {}}, text(c.given)}; }
  Said operator()(const record::Measure& m) const {
    return {suffixed("value", m.value, std::nullopt), {"also", {}}, text(m.given)};
  }
  template <class Other>
  Said operator()(const Other&) const {
    return {};
  }

 private:
  static Json text(const std::string& words) { return words.empty() ? Json() : Json(words); }
  const plan::Step* step_;
};

// 0 stands for a number that is not there.
Json number(std::int64_t n) {
  return n != 0 ? Json(n) : Json();
}

}  // namespace

Json to_json(const Recorded& recorded) {
  const record::Event& event = *recorded.event;
  const record::Place* at = record::place_of(event.line);
  const plan::Step* step = nullptr;
  if (recorded.pass != nullptr && at != nullptr) step = review::Progress(*recorded.pass, true).find(at->step);
  Said said = std::visit(Says(step), event.line);
  Json out = Json::object();
  out.set("seq", event.seq)
      .set("pass", number(event.pass()))
      .set("step", at != nullptr ? number(at->step) : Json())
      .set("stage", at != nullptr ? number(at->stage) : Json())
      .set("bolt", at != nullptr ? Json(at->bolt) : Json())
      .set("kind", event.kind())
      .set(said.value.first, std::move(said.value.second))
      .set(said.also.first, std::move(said.also.second))
      .set("given", std::move(said.given));
  out.set("at", record::to_string(event.at))
      .set("written", record::to_string(event.written))
      .set("repeated", recorded.repeated);
  Json list = Json::array();
  for (const Finding& finding : recorded.findings) list.push(review::to_json(finding));
  return std::move(out.set("findings", std::move(list))
                       .set("next", recorded.next != nullptr ? plan::to_json(*recorded.next) : Json()));
}

}  // namespace clampbook::cli
