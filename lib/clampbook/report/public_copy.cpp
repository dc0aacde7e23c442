#include <clampbook/plan/plan_json.h>
#include <clampbook/report/public_copy.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <variant>

namespace clampbook::report {

using record::Event;
using record::Timestamp;
using text::Json;

namespace {

// In the order in which they are met, so that the same book gives the same copy.
class ToolNames {
 public:
  std::string& hide(std::string& name) {
    if (!name.empty())
      name = names_.try_emplace(name, fmt::format("tool {}", names_.size() + 1)).first->second;
    return name;
  }

 private:
  std::map<std::string, std::string> names_;
};

void hide_tools(std::vector<review::Pass>& passes, ToolNames& names) {
  for (review::Pass& pass : passes) {
    if (pass.tools) {
      for (schedule::TorqueWrench& wrench : pass.tools->torque_wrenches) names.hide(wrench.name);
      for (auto* gauges : {&pass.tools->angle_gauges, &pass.tools->length_gauges})
        for (schedule::Gauge& gauge : *gauges) names.hide(gauge.name);
      pass.tools->title.clear();
      pass.tools->notice.clear();
    }
    for (plan::PlanStage& stage : pass.plan.stages) {
      if (!stage.tool) continue;
      const std::string before = stage.tool->name;
      names.hide(stage.tool->name);
      if (stage.tool->text.starts_with(before)) stage.tool->text.replace(0, before.size(), stage.tool->name);
    }
    // Their words hold names of tools; the page works them out with those that it shows.
    std::erase_if(pass.plan.cautions, [](const plan::Caution& c) { return c.slug == "tool-coarse"; });
    for (review::Entry& entry : pass.entries) names.hide(entry.tool);
  }
}

void replace_all(std::string& text, const std::string& from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
}

Timestamp in_utc(Timestamp t) {
  return {t.milliseconds, 0};
}

// Times that a finding quotes stand on its line of the book.
void hide_offsets(std::vector<review::Finding>& findings, const record::Book& book) {
  for (review::Finding& f : findings) {
    if (!f.seq) continue;
    const Event* event = record::event_on(book, *f.seq);
    if (event == nullptr) continue;
    for (const Timestamp t : {event->at, event->written})
      replace_all(f.text, record::to_string(t), record::to_string(in_utc(t)));
  }
}

/// What of a line strangers may see, by its kind: a member that is not named here is left out, one that a
/// later program adds too.
class Shown {
 public:
  /// `passes`: with hidden tools; a plan's line names them too.
  Shown(const std::vector<review::Pass>& passes, std::int64_t pass) : passes_(passes), pass_(pass) {}

  record::Line operator()(const record::Reading& r) const {
    return record::Reading{r.at, r.value, r.also, r.given, r.also_given, r.no_turn, r.corrects, r.restores};
  }
  record::Line operator()(const record::Tick& t) const { return record::Tick{t.at, t.corrects}; }
  record::Line operator()(const record::Count& c) const {
    return record::Count{c.at, c.value, c.given, c.corrects};
  }
  record::Line operator()(const record::Measure& m) const {
    return record::Measure{m.at, m.value, m.given, m.corrects};
  }
  record::Line operator()(const record::Box<record::Begun>& b) const {
    record::Begun out{b->pass, b->title};
    out.sha256 = b->sha256;
    out.trial = b->trial;
    out.only = b->only;
    out.program = b->program;
    out.operation = b->operation;
    return record::Box(std::move(out));
  }
  record::Line operator()(const record::Box<record::Planned>&) const {
    const auto pass = std::find_if(passes_.begin(), passes_.end(),
                                   [&](const review::Pass& p) { return !p.lost && p.number == pass_; });
    return record::Box(record::Planned{pass_, pass == passes_.end() ? Json() : plan::to_record(pass->plan)});
  }
  record::Line operator()(const record::Void& v) const { return record::Void{v.pass, v.voids}; }
  record::Line operator()(const record::Note& n) const { return record::Note{n.pass}; }
  record::Line operator()(const record::Fitted& f) const { return record::Fitted{f.pass, f.bolts, f.uses}; }
  record::Line operator()(const record::Removed& r) const { return record::Removed{r.pass, r.bolts}; }
  record::Line operator()(const record::Unsure& u) const { return record::Unsure{u.at}; }
  record::Line operator()(const record::Accepted& a) const { return record::Accepted{a.pass, a.accepts}; }
  record::Line operator()(const record::Abandoned& a) const { return record::Abandoned{a.pass}; }
  record::Line operator()(const record::Unknown& u) const { return record::Unknown{u.kind}; }

 private:
  const std::vector<review::Pass>& passes_;
  std::int64_t pass_;
};

void hide_private(Event& event, const std::vector<review::Pass>& passes, ToolNames& names) {
  event.line = std::visit(Shown(passes, event.pass()), event.line);
  record::Remarks shown;
  shown.because = event.remarks->because;
  shown.tool = event.remarks->tool;
  if (shown.tool) names.hide(*shown.tool);
  event.remarks = shown == record::Remarks{} ? record::Box<record::Remarks>() : std::move(shown);
  event.at = in_utc(event.at);
  event.written = in_utc(event.written);
}

}  // namespace

const review::Pass& PublicCopy::pass(std::int64_t number) const {
  return *std::find_if(passes.begin(), passes.end(),
                       [&](const review::Pass& p) { return p.number == number; });
}

PublicCopy public_copy(record::Book book, std::vector<review::Pass> passes, std::int64_t number) {
  PublicCopy out{std::move(book), std::move(passes), {}};
  ToolNames names;
  hide_tools(out.passes, names);
  // Before the offsets go: the day on the wall decides whether a tool was due.
  out.findings = review::find_findings(out.book, out.passes, out.pass(number), review::Until::finished);
  hide_offsets(out.findings, out.book);
  for (Event& event : out.book.events) hide_private(event, out.passes, names);
  for (review::Pass& pass : out.passes) {
    pass.began = in_utc(pass.began);
    if (pass.ended) pass.ended = in_utc(*pass.ended);
  }
  return out;
}

}  // namespace clampbook::report
