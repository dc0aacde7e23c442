// What the guide draws.
#include "cli/guide.h"
#include "cli/terminal.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/report/answer.h>
#include <clampbook/report/guide_text.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <ostream>

namespace clampbook::cli {

using plan::Step;
using review::Finding;
using text::Json;
using About = bench::Remark::About;

void Guide::say(std::string_view text) {
  if (!context_.json) write_text(context_, text);
}

void Guide::ring(int times) {
  if (rings_) context_.out << std::string(static_cast<std::size_t>(times), '\a');
}

report::TextStyle Guide::style() const {
  report::TextStyle out = text_style(context_);
  if (const auto columns = terminal_columns()) out.width = std::clamp<std::size_t>(*columns, 24, 100);
  return out;
}

void Guide::paragraph(std::string_view text) {
  say(report::wrapped(text, style().width, 0, 2) + "\n");
}

void Guide::draw(const bench::Start&) {
  if (context_.json) return;
  say(report::guide_start(view().pass, context_.now(), style()));
  if (input_.port() && input_.port()->passed_over() > 0)
    paragraph(fmt::format("What stands in {} already is passed over.",
                          text::printable(input_.port()->source().path)));
  if (walk_.settings().somebody_answers) say("? lists the keys\n");
}

void Guide::draw(const bench::OpenMatters& item) {
  say(report::guide_open_matters(view().pass, view().findings, item.step, style()));
}

void Guide::draw(const bench::StageHead& item) {
  say(report::guide_stage(view().pass, item.step, item.tool, item.display, item.warnings, style()));
}

void Guide::draw(const bench::Due& item) {
  const Step& step = item.step;
  if (context_.json) {
    write_json(context_, Json::object().set("event", "due").set("step", plan::to_json(step)));
    return;
  }
  const bench::View seen = view();
  say("\n" + report::guide_picture(seen.pass, seen.findings, step, style()) + "\n");
  std::vector<Finding> doubts = seen.findings;
  std::erase_if(doubts, [&](const Finding& f) { return f.slug != "unsure" || f.bolt != step.bolt; });
  if (step.bolt) say(report::findings_text(doubts, style()));
  if (big_) draw_big(step);
  say(report::guide_step(seen.pass, item.as_set, item.tool, context_.now(), style()));
}

void Guide::draw_big(const Step& step) {
  const std::string what = step.bolt ? *step.bolt : step.label ? *step.label : fmt::format("{}", step.step);
  say((step.bolt ? "bolt" : "step") + std::string("\n") + report::big_text(what, style()) + "\n");
  if (!step.target) return;
  const units::Unit& unit =
      context_.system ? units::unit_in(*context_.system, *step.target) : step.target->unit();
  const bool angle = unit.dimension == units::Dimension::angle;
  say(fmt::format("target{}\n", angle ? "" : ", " + std::string(unit.spelling)) +
      report::big_text(units::format_number(step.target->in(unit)) + (angle ? "°" : ""), style()) + "\n");
}

void Guide::draw(const bench::Recorded& item) {
  if (context_.json) {
    const Json log = report::to_json(item.answer);
    Json out = Json::object().set("event", "recorded");
    for (const auto& [key, value] : *log.as_object()) out.set(key, value);
    write_json(context_, out);
    return;
  }
  if (item.out_of_doubt) {
    paragraph(fmt::format("recorded {}: bolt {} is no longer in doubt", item.answer.event->seq,
                          text::printable(*item.out_of_doubt)));
    return;
  }
  std::string text = report::answer_text(item.answer, style());
  text.pop_back();  // its line feed
  paragraph(text);
}

void Guide::draw(const bench::Found& item) {
  if (!context_.json) say(report::findings_text(item.findings, style()));
}

void Guide::draw(const bench::Bell& item) {
  ring(item.times);
}

void Guide::draw(const bench::ToGo& item) {
  paragraph(fmt::format("below the window {}: {} to go",
                        units::format_range(item.low, item.high, item.missing.unit()),
                        units::format(item.missing)));
}

void Guide::draw(const bench::Unread& item) {
  if (context_.json) {
    write_json(context_, Json::object()
                             .set("event", "unread")
                             .set("given", item.given.empty() ? Json() : Json(text::printable(item.given)))
                             .set("reason", item.reason));
    return;
  }
  ring(bench::kStop);
  const std::string shown =
      item.given.empty() ? std::string() : fmt::format("'{}' ", text::printable(item.given));
  paragraph(fmt::format("not recorded: {}{}", shown, item.why));
}

// The message and the help are sentences; the lines between them point with a caret.
void Guide::draw(const bench::Refused& item) {
  if (context_.json) {
    draw(bench::Unread{item.given, item.diagnostic.slug, item.diagnostic.message});
    return;
  }
  ring(bench::kStop);
  const std::string all = text::render(item.diagnostic);
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = std::min(all.find('\n', at), all.size());
    const std::string_view line = std::string_view(all).substr(at, end - at);
    const std::size_t indent = line.find_first_not_of(' ');
    const bool sentence = at == 0 || line.starts_with("   help: ");
    say((sentence ? report::wrapped(line.substr(indent), style().width, indent, indent + 2)
                  : std::string(line)) +
        "\n");
    at = end + 1;
  }
}

namespace {

std::string entry_there(const bench::Remark& item) {
  const std::string next =
      item.other != 0 ? fmt::format("; stage {} comes for all bolts together", item.other) : std::string();
  return fmt::format(
      "bolt {} has its entry at step {}: line {}{}. A reading here counts as a second one; s leaves it as it "
      "is",
      text::printable(item.words), item.step, item.line, next);
}

std::string sentence(const bench::Remark& item) {
  switch (item.about) {
    case About::waits_for_answer:
      return fmt::format("'{}' waits for your answer", text::printable(item.words));
    case About::type_the_count:
      return "type the number that you counted";
    case About::type_the_measurement:
      return "type what you measured";
    case About::type_or_click:
      return "type the reading; with a wrench that clicks at its setting, type: click";
    case About::type_the_reading:
      return "type the reading";
    case About::set_it_right_first:
      return "set it right first; y when it is";
    case About::stays_as_it_is:
      return fmt::format("line {} stays as it is", item.line);
    case About::not_recorded:
      return "not recorded";
    case About::nothing_was_asked:
      return "nothing was asked; ? lists the keys";
    case About::name_the_bolt:
      return "b and the bolt's id, for example: b 3";
    case About::name_the_bolt_in_doubt:
      return "d and the bolt's id, for example: d 3";
    case About::no_step_in_pass:
      return fmt::format("bolt {} has no step in this pass", text::printable(item.words));
    case About::has_its_entry:
      return entry_there(item);
    case About::has_its_angle:
      return fmt::format("bolt {} has its angle at step {}: line {}", text::printable(item.words), item.step,
                         item.line);
    case About::note_stays:
      return "a note stays as it is; u again takes back what came before it";
    case About::nothing_to_undo:
      return "nothing is recorded that could be undone";
    case About::takes_back:
      return fmt::format("line {}, step {}", item.line, item.step);
    case About::stands_again:
      return fmt::format("line {} stands again", item.line);
  }
  return {};
}

}  // namespace

void Guide::draw(const bench::Remark& item) {
  paragraph(sentence(item));
}

void Guide::draw(const bench::KeyList&) {
  say(report::guide_keys());
}

void Guide::draw(const bench::ToolNotice& item) {
  if (context_.json) {
    draw(bench::Unread{"", item.gone ? "wrench-gone" : "wrench-back", ""});
    return;
  }
  ring(item.gone ? bench::kStop : bench::kAccepted);
  paragraph(
      item.gone
          ? "the wrench does not answer: is it switched on and plugged in? You can type readings meanwhile"
          : "the wrench is back");
}

void Guide::draw(const bench::DropQueued& item) {
  for (const Happening& h : input_.take_lines())
    if (h.kind != Happening::Kind::typed || !bench::is_bare_key(h.text))
      draw(bench::Unread{h.text, item.reason, item.why});
}

void Guide::draw(const bench::Finished&) {
  const bench::View seen = view();
  const std::vector<Finding> findings =
      review::find_findings(seen.book, book_.passes(), seen.pass, review::Until::finished);
  falls_short_ = review::falls_short(findings);
  if (context_.json) return;
  say("\n");
  paragraph(review::is_complete(seen.pass, findings)
                ? fmt::format("Every step has its entry, and no fault is open. {}", text::kInWindowCaution)
                : std::string("Every step has its entry, but faults are open:"));
  // What asks for nothing would push the faults off the screen.
  std::vector<Finding> open = findings;
  const auto notes =
      std::erase_if(open, [](const Finding& f) { return f.severity == review::Severity::note; });
  say(report::findings_text(open, style()));
  if (notes > 0)
    paragraph(fmt::format("{} {} in the record: clampbook check {}", notes,
                          notes == 1 ? "note stands" : "notes stand", text::printable(book_.name())));
}

void Guide::draw(const bench::Stopped& item) {
  if (context_.json) {
    write_json(context_, Json::object().set("event", "stopped").set("reason", item.reason));
  } else if (item.abandoned) {
    paragraph(fmt::format("{}: the guide ends", item.reason));
  } else if (item.step != 0) {
    if (walk_.settings().somebody_answers) say("\n");
    paragraph(fmt::format("{}: the pass stays open at step {}; clampbook guide {} goes on", item.reason,
                          item.step, text::printable(book_.name())));
  }
}

}  // namespace clampbook::cli
