#include <clampbook/plan/plan_json.h>
#include <clampbook/report/public_copy.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <set>

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
    const auto event = std::lower_bound(book.events.begin(), book.events.end(), *f.seq,
                                        [](const Event& e, std::int64_t seq) { return e.seq < seq; });
    if (event == book.events.end()) continue;
    for (const Timestamp t : {event->at, event->written})
      replace_all(f.text, record::to_string(t), record::to_string(in_utc(t)));
  }
}

// `passes`: with hidden tools; a plan's line names them too.
void hide_private(Event& event, const std::vector<review::Pass>& passes, ToolNames& names) {
  static const std::set<std::string_view> kPrivate{"note", "by",    "key",      "typed",
                                                   "file", "tools", "schedule", "build"};
  Json::Object* members = event.body.as_object();
  if (members == nullptr) return;
  Json kept = Json::object();
  for (auto& [key, value] : *members) {
    if (kPrivate.contains(key)) continue;
    if (key == "tool" && value.as_string() != nullptr) {
      std::string name = *value.as_string();
      kept.set(key, names.hide(name));
    } else if (key == "plan") {
      const auto pass = std::find_if(passes.begin(), passes.end(), [&](const review::Pass& p) {
        return !p.lost && p.number == event.integer("pass");
      });
      kept.set(key, pass == passes.end() ? Json() : plan::to_record(pass->plan));
    } else if (key == "at") {
      kept.set(key, record::to_string(in_utc(event.at)));
    } else if (key == "written") {
      kept.set(key, record::to_string(in_utc(event.written)));
    } else {
      kept.set(key, std::move(value));
    }
  }
  event.body = std::move(kept);
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
