#include <clampbook/bench/entry_value.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/report/answer.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace clampbook::report {

using bench::Answer;
using plan::Step;
using review::Finding;
using review::Progress;
using text::Json;

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
        suffixed("also", r.also, step_ != nullptr ? bench::companion_dimension(*step_) : std::nullopt),
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

std::string listed(const std::vector<std::string>& bolts) {
  std::string out;
  for (const std::string& id : bolts) out += (out.empty() ? "" : ", ") + text::printable(id);
  return out;
}

std::string said(const record::Void& line) {
  return fmt::format("line {} does not count", line.voids);
}
std::string said(const record::Accepted& line) {
  return fmt::format("what was found on line {} is accepted; it stays in the record", line.accepts);
}
std::string said(const record::Abandoned& line) {
  return fmt::format("pass {} is abandoned", line.pass);
}
std::string said(const record::Unsure& line) {
  return fmt::format("bolt {} is in doubt", text::printable(line.at.bolt.value_or("")));
}
std::string said(const record::Fitted& line) {
  return fmt::format("other bolts now sit at {}; their steps are open again", listed(line.bolts));
}
std::string said(const record::Removed& line) {
  return fmt::format("taken out: {}; their steps are open again", listed(line.bolts));
}
template <class Other>
std::string said(const Other&) {
  return "a note";
}

// What the line came to, by its step.
std::string entry_text(const Answer& answer, const Step& step, const TextStyle& style) {
  const record::Event& event = *answer.event;
  const review::Entry& entry = *review::entry_on(*answer.pass, event.seq);
  std::string out;
  if (step.bolt) out += fmt::format("bolt {}, ", text::printable(*step.bolt));
  if (step.label)
    out += fmt::format("{}{}, ", answer.pass->index.bolt(*step.label) ? "bolt " : "",
                       text::printable(*step.label));
  out += fmt::format("step {}, stage {} ({}): ", step.step, step.stage, schedule::name(step.kind));
  if (entry.count) {
    out += text::shortest(*entry.count);
  } else if (entry.value) {
    out += both_systems(*entry.value, style);
  } else {
    out += "done";
  }
  if (step.prevailing && entry.value && !entry.click && entry.value->dimension() == units::Dimension::torque)
    out += fmt::format(", of which {} turn the lock nut", both_systems(*step.prevailing, style));
  if (entry.also) out += fmt::format(", also {}", both_systems(*entry.also, style));
  const bool judged = std::any_of(answer.findings.begin(), answer.findings.end(), [&](const Finding& f) {
    return f.seq == event.seq && f.severity != review::Severity::note;
  });
  if (!judged && step.low && step.high && entry.value && entry.value->dimension() == step.low->dimension())
    out += fmt::format(", in window {}", both_systems(*step.low, *step.high, style));
  return out;
}

}  // namespace

Json to_json(const Answer& answer) {
  const record::Event& event = *answer.event;
  const record::Place* at = record::place_of(event.line);
  const plan::Step* step = nullptr;
  if (answer.pass != nullptr && at != nullptr) step = review::Progress(*answer.pass, true).find(at->step);
  Said words = std::visit(Says(step), event.line);
  Json out = Json::object();
  out.set("seq", event.seq)
      .set("pass", number(event.pass()))
      .set("step", at != nullptr ? number(at->step) : Json())
      .set("stage", at != nullptr ? number(at->stage) : Json())
      .set("bolt", at != nullptr ? Json(at->bolt) : Json())
      .set("kind", event.kind())
      .set(words.value.first, std::move(words.value.second))
      .set(words.also.first, std::move(words.also.second))
      .set("given", std::move(words.given));
  out.set("at", record::to_string(event.at))
      .set("written", record::to_string(event.written))
      .set("repeated", answer.repeated);
  Json list = Json::array();
  for (const Finding& finding : answer.findings) list.push(review::to_json(finding));
  return std::move(out.set("findings", std::move(list))
                       .set("next", answer.next != nullptr ? plan::to_json(*answer.next) : Json()));
}

std::string answer_text(const Answer& answer, const TextStyle& style) {
  const record::Event& event = *answer.event;
  std::string out = fmt::format("{} {}", answer.repeated ? "recorded before, as" : "recorded", event.seq);
  const record::Place* place = record::place_of(event.line);
  if (place == nullptr || std::holds_alternative<record::Unsure>(event.line))
    return fmt::format("{}: {}\n", out, std::visit([](const auto& line) { return said(line); }, event.line));
  const Step* step = answer.pass != nullptr ? Progress(*answer.pass, true).find(place->step) : nullptr;
  // A repeated key of a pass whose plan is lost.
  if (step == nullptr) return out + "\n";
  return fmt::format("{}: {}\n", out, entry_text(answer, *step, style));
}

}  // namespace clampbook::report
