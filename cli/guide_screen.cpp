// What the guide shows.
#include "cli/guide.h"
#include "cli/terminal.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/tools.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/tool_check.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <ostream>

namespace clampbook::cli {

namespace {

using plan::StageKind;
using plan::Step;
using review::Finding;
using text::Json;
using units::Dimension;
using units::Measured;

}  // namespace

void Guide::say(std::string_view text) {
  if (context_.json) return;
  write_text(context_, text);
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

void Guide::unread(std::string_view given, std::string_view reason, std::string_view why) {
  if (context_.json) {
    write_json(context_, Json::object()
                             .set("event", "unread")
                             .set("given", given.empty() ? Json() : Json(text::printable(given)))
                             .set("reason", reason));
    return;
  }
  ring(kStop);
  const std::string shown = given.empty() ? std::string() : fmt::format("'{}' ", text::printable(given));
  paragraph(fmt::format("not recorded: {}{}", shown, why));
}

// The message and the help are sentences; the lines between them point with a caret.
void Guide::complain(std::string_view given, const text::Diagnostic& diagnostic) {
  if (context_.json) {
    unread(given, diagnostic.slug, diagnostic.message);
    return;
  }
  ring(kStop);
  const std::string all = text::render(diagnostic);
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

ExitStatus Guide::stopped(std::string_view reason, ExitStatus status) {
  leave_queued("unanswered", "came before the guide ended: read it again");
  if (context_.json) {
    write_json(context_, Json::object().set("event", "stopped").set("reason", reason));
  } else if (pass().abandoned) {
    paragraph(fmt::format("{}: the guide ends", reason));
  } else if (step_ != 0) {
    if (asks_) say("\n");
    paragraph(fmt::format("{}: the pass stays open at step {}; clampbook guide {} goes on", reason, step_,
                          text::printable(session_.book_name())));
  }
  context_.out.flush();
  return status;
}

ExitStatus Guide::finished() {
  const std::vector<Finding> findings =
      review::find_findings(session_.book().book(), session_.passes(), pass(), review::Until::finished);
  const bool complete = review::is_complete(pass(), findings);
  leave_queued("not-due", "comes after the last step");
  if (!context_.json) {
    say("\n");
    paragraph(complete
                  ? fmt::format("Every step has its entry, and no fault is open. {}", text::kInWindowCaution)
                  : std::string("Every step has its entry, but faults are open:"));
    // What asks for nothing would push the faults off the screen.
    std::vector<Finding> open = findings;
    const auto notes =
        std::erase_if(open, [](const Finding& f) { return f.severity == review::Severity::note; });
    say(report::findings_text(open, style()));
    if (notes > 0)
      paragraph(fmt::format("{} {} in the record: clampbook check {}", notes,
                            notes == 1 ? "note stands" : "notes stand",
                            text::printable(session_.book_name())));
    step_ = 0;
  }
  static_cast<void>(
      stopped("finished", review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done));
  return review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
}

std::optional<plan::StageTool> Guide::stage_tool(const Step& step) {
  if (tool_ != nullptr) {
    const bool torque = step.reading_dimension() == Dimension::torque;
    return torque ? std::optional(plan::stage_tool(*tool_)) : std::nullopt;
  }
  for (const plan::PlanStage& stage : pass().plan.stages)
    if (stage.stage == step.stage) return stage.tool;
  return std::nullopt;
}

// With the tool in hand the setting is the tool's own.
Step Guide::as_set(const Step& step) {
  Step out = step;
  if (tool_ == nullptr || !step.target || step.target->dimension() != Dimension::torque) return out;
  joint::Torque torque = units::to<joint::Torque>(*step.target);
  if (step.prevailing) torque += units::to<joint::Torque>(*step.prevailing);
  const units::Unit& unit = tool_->unit != nullptr ? *tool_->unit : step.target->unit();
  out.setting = Measured(units::value_in(plan::setting_of(*tool_, torque), units::newton_metre),
                         units::newton_metre_unit())
                    .converted_to(unit);
  return out;
}

void Guide::show_stage(const Step& step) {
  std::vector<std::string> warnings;
  const std::optional<plan::StageTool> tool = stage_tool(step);
  const std::string name = tool_ != nullptr ? tool_->name : tool ? tool->name : std::string();
  if (!name.empty()) warnings = review::tool_warnings(pass(), step, name, context_.now());
  const std::string display =
      tool_ != nullptr && tool_->unit != nullptr ? std::string(tool_->unit->spelling) : std::string();
  say(report::guide_stage(pass(), as_set(step), tool, display, warnings, style()));
}

void Guide::show_step() {
  const Step& step = *current();
  shown_step_ = step_;
  if (context_.json) {
    confirmed_.insert(step.stage);
    write_json(context_, Json::object().set("event", "due").set("step", plan::to_json(step)));
    return;
  }
  if (told_stage_ != step.stage) {
    told_stage_ = step.stage;
    show_open_matters(step);
  }
  const bool gate = step.bolt && !confirmed_.contains(step.stage);
  if (gate) {
    show_stage(step);
    if (asks_) {
      question_ = Question::stage;
      return;
    }
    confirmed_.insert(step.stage);
  }
  const std::vector<Finding>& findings = session_.findings(pass());
  say("\n" + report::guide_picture(pass(), findings, step, style()) + "\n");
  std::vector<Finding> doubts = findings;
  std::erase_if(doubts, [&](const Finding& f) { return f.slug != "unsure" || f.bolt != step.bolt; });
  if (step.bolt) say(report::findings_text(doubts, style()));
  if (arguments_.has("--big")) show_big(step);
  say(report::guide_step(pass(), as_set(step), stage_tool(step), context_.now(), style()));
}

// At the start and before each stage: what was kept or put off must not be forgotten over what is due.
void Guide::show_open_matters(const Step& step) {
  say(report::guide_open_matters(pass(), session_.findings(pass()), step, style()));
}

void Guide::show_big(const Step& step) {
  const std::string what = step.bolt ? *step.bolt : step.label ? *step.label : fmt::format("{}", step.step);
  say((step.bolt ? "bolt" : "step") + std::string("\n") + report::big_text(what, style()) + "\n");
  if (!step.target) return;
  const units::Unit& unit =
      context_.system ? units::unit_in(*context_.system, *step.target) : step.target->unit();
  const bool angle = unit.dimension == Dimension::angle;
  say(fmt::format("target{}\n", angle ? "" : ", " + std::string(unit.spelling)) +
      report::big_text(units::format_number(step.target->in(unit)) + (angle ? "°" : ""), style()) + "\n");
}

void Guide::prompt() {
  if (!asks_) return;
  const Step* step = current();
  std::string out;
  switch (question_) {
    case Question::stage:
      out = "setting, unit, direction right? y ";
      break;
    case Question::keep:
      out = "keep it? y/n ";
      break;
    case Question::go_on:
      out = "another stroke, or keep it as it is? y/n ";
      break;
    case Question::repeat:
      out = "the same value again: a second reading? y/n ";
      break;
    case Question::companion:
      out = "final torque? (y: not read) ";
      break;
    case Question::none:
      out = step->bolt ? fmt::format("bolt {} ", text::printable(*step->bolt)) : "";
      out +=
          step->is_gate() && step->kind != StageKind::count && step->kind != StageKind::measure ? "(y) " : "";
      break;
  }
  write_text(context_, out + "> ");
}

void Guide::tell(const Recorded& recorded) {
  if (context_.json) {
    const Json log = to_json(recorded);
    Json out = Json::object().set("event", "recorded");
    for (const auto& [key, value] : *log.as_object()) out.set(key, value);
    write_json(context_, out);
    return;
  }
  std::string text = recorded_text(recorded, style());
  text.pop_back();  // its line feed
  paragraph(text);
}

void Guide::tell_wrench(Happening::Kind kind) {
  const bool gone = kind == Happening::Kind::wrench_gone;
  if (context_.json) {
    unread("", gone ? "wrench-gone" : "wrench-back", "");
    return;
  }
  ring(gone ? kStop : kAccepted);
  paragraph(
      gone ? "the wrench does not answer: is it switched on and plugged in? You can type readings meanwhile"
           : "the wrench is back");
}

void Guide::show_start() {
  if (context_.json) return;
  say(report::guide_start(pass(), context_.now(), style()));
  if (input_.port() && input_.port()->passed_over() > 0)
    paragraph(fmt::format("What stands in {} already is passed over.",
                          text::printable(input_.port()->source().path)));
  if (asks_) say("? lists the keys\n");
}

}  // namespace clampbook::cli
