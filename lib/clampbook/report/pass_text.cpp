#include <clampbook/report/estimate_text.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using review::Finding;
using review::Severity;
using text::printable;

std::string next_line(const review::Pass& pass, const plan::Step* next) {
  if (pass.abandoned) return fmt::format("next: nothing; pass {} is abandoned\n", pass.number);
  if (next == nullptr) return "next: nothing; every step has its entry\n";
  if (next->bolt) {
    const auto doubts = pass.unresolved.find(*next->bolt);
    if (doubts != pass.unresolved.end() && !doubts->second.empty())
      return fmt::format("next: settle the doubt about bolt {}; step {} waits for it\n",
                         printable(*next->bolt), next->step);
  }
  return fmt::format("next: step {}, {}\n", next->step, printable(next->text));
}

namespace {

// Unfilled steps of one stage are one thing to a person: one line, with all the bolts.
bool belongs_to(const Finding& f, const Finding& first) {
  return f.slug == first.slug && f.stage == first.stage && f.remedy == first.remedy &&
         f.state == first.state && !f.seq && !f.accepted && !first.accepted;
}

// "stage 6 (angle 60°), bolt 3: no reading" for each of them: the front once, then the bolts, then the rest.
std::string text_of_all(const std::vector<const Finding*>& alike) {
  const std::string& first = alike.front()->text;
  if (alike.size() == 1) return first;
  const std::size_t colon = first.rfind(": "), comma = first.rfind(", ", colon);
  std::string names;
  for (const Finding* other : alike) {
    const std::size_t end = other->text.rfind(": "), start = other->text.rfind(", ", end) + 2;
    std::string name = other->text.substr(start, end - start);
    if (!names.empty() && name.starts_with("bolt ")) name.erase(0, 5);
    names += (names.empty() ? "" : ", ") + name;
  }
  if (names.starts_with("bolt ")) names.insert(4, "s");
  return first.substr(0, comma) + ", " + names + first.substr(colon);
}

}  // namespace

std::vector<FindingGroup> grouped(const std::vector<Finding>& findings) {
  std::vector<FindingGroup> out;
  for (const Severity severity : {Severity::fault, Severity::warning, Severity::note}) {
    for (std::size_t i = 0; i < findings.size(); ++i) {
      const Finding& f = findings[i];
      if (f.severity != severity) continue;
      std::vector<const Finding*> alike{&f};
      if (!f.seq && f.stage)
        while (i + 1 < findings.size() && belongs_to(findings[i + 1], f)) alike.push_back(&findings[++i]);
      out.push_back({&f, text_of_all(alike)});
    }
  }
  return out;
}

std::string findings_text(const std::vector<Finding>& findings, const TextStyle& style) {
  std::string out;
  for (const FindingGroup& group : grouped(findings)) {
    const Finding& f = *group.first;
    const std::string front = f.accepted ? fmt::format("accepted {}", review::name(f.severity))
                                         : std::string(review::name(f.severity));
    out +=
        wrapped(fmt::format("{}: {} [{}]", front, printable(group.text), f.slug), style.width, 0, 2) + "\n";
    if (f.accepted)
      out += wrapped(fmt::format("because: {}", printable(*f.accepted)), style.width, 2, 6) + "\n";
    else if (!f.remedy.empty())
      out += wrapped(fmt::format("do: {}", printable(f.remedy)), style.width, 2, 6) + "\n";
  }
  return out;
}

namespace {

std::string place(const plan::Step& step) {
  const std::string front = step.bolt    ? fmt::format("bolt {}, ", printable(*step.bolt))
                            : step.label ? fmt::format("{}, ", printable(*step.label))
                                         : std::string();
  return front + fmt::format("stage {} ({})", step.stage, schedule::name(step.kind));
}

std::string said_of(const review::Entry& entry, const plan::Step& step, const TextStyle& style) {
  std::string out = place(step) + ": ";
  out += entry.value   ? both_systems(*entry.value, style)
         : entry.count ? units::format_number(*entry.count)
                       : std::string("done");
  if (step.prevailing && entry.value && !entry.click && entry.value->dimension() == units::Dimension::torque)
    out += fmt::format(", of which {} turn the lock nut", both_systems(*step.prevailing, style));
  if (entry.also) out += ", also " + both_systems(*entry.also, style);
  if (entry.no_turn) out += ", without turning the bolt";
  if (!entry.tool.empty()) out += ", with " + printable(entry.tool);
  if (entry.corrects) out += fmt::format(", corrects line {}", *entry.corrects);
  return out;
}

std::string why_it_does_not_count(const review::Entry& entry) {
  if (entry.voided_by) return fmt::format("does not count, see line {}", *entry.voided_by);
  return entry.past_piece ? "a bolt that was taken out since" : "";
}

std::string listed(const std::vector<std::string>& bolts) {
  std::string out;
  for (const std::string& id : bolts) out += (out.empty() ? "" : ", ") + printable(id);
  return out;
}

// What no tool said, by the kind of its line.
class Said {
 public:
  Said(const review::Progress& progress, const record::Event& event) : progress_(progress), event_(event) {}

  std::string operator()(const record::Fitted& line) const {
    const std::int64_t uses = line.uses.value_or(0);
    return fmt::format("other bolts fitted: {}{}", listed(line.bolts),
                       uses == 1  ? std::string(", tightened once before")
                       : uses > 1 ? fmt::format(", tightened {} times before", uses)
                                  : std::string());
  }
  std::string operator()(const record::Removed& line) const {
    return "bolts taken out: " + listed(line.bolts);
  }
  std::string operator()(const record::Void& line) const {
    return fmt::format("line {} does not count", line.voids);
  }
  std::string operator()(const record::Accepted& line) const {
    return fmt::format("what was found on line {} is accepted", line.accepts);
  }
  std::string operator()(const record::Abandoned&) const { return "the pass is abandoned"; }
  std::string operator()(const record::Note&) const {
    return "note: " + printable(event_.remarks->note.value_or(""));
  }
  std::string operator()(const record::Unsure& line) const {
    const plan::Step* step = progress_.find(line.at.step);
    const std::vector<review::Doubt>& doubts = progress_.pass().doubts;
    const bool settled = std::any_of(doubts.begin(), doubts.end(), [&](const review::Doubt& doubt) {
      return doubt.seq == event_.seq && doubt.resolved;
    });
    return fmt::format("{}: in doubt{}",
                       step != nullptr ? place(*step) : "bolt " + printable(line.at.bolt.value_or("")),
                       settled ? " -- settled since" : "");
  }
  std::string operator()(const record::Box<record::Begun>& line) const {
    return line->only ? "begun for these bolts only: " + printable(*line->only) : "begun";
  }
  template <class Other>
  std::string operator()(const Other&) const {
    return fmt::format("'{}', which this program does not know", printable(event_.kind()));
  }

 private:
  const review::Progress& progress_;
  const record::Event& event_;
};

std::vector<std::string> remarks(const record::Event& event) {
  std::vector<std::string> out;
  const record::Remarks& said = *event.remarks;
  if (said.note && event.kind() != "note") out.push_back("note: " + printable(*said.note));
  if (said.because) out.push_back("because: " + printable(*said.because));
  if (said.by) out.push_back("by " + printable(*said.by));
  return out;
}

}  // namespace

std::vector<RecordLine> record_lines(const record::Book& book, const review::Pass& pass,
                                     const TextStyle& style) {
  const review::Progress progress(pass, true);
  std::vector<RecordLine> out;
  for (const record::Event& event : book.events) {
    if (event.pass() != pass.number || event.kind() == "planned") continue;
    const review::Entry* entry = review::entry_on(pass, event.seq);
    const plan::Step* step = entry != nullptr ? progress.find(entry->step) : nullptr;
    if (entry != nullptr && step == nullptr) continue;
    RecordLine line{&event};
    line.what =
        entry == nullptr ? std::visit(Said(progress, event), event.line) : said_of(*entry, *step, style);
    if (entry != nullptr) line.why_not = why_it_does_not_count(*entry);
    line.remarks = remarks(event);
    out.push_back(std::move(line));
  }
  return out;
}

std::string record_text(const record::Book& book, const review::Pass& pass, const TextStyle& style) {
  std::string out = wrapped(fmt::format("{}{}, begun {}", printable(pass.title), pass.trial ? " (trial)" : "",
                                        record::to_string(pass.began)),
                            style.width, 0, 2) +
                    "\n";
  for (const RecordLine& line : record_lines(book, pass, style)) {
    std::string what = line.what + (line.why_not.empty() ? "" : " -- " + line.why_not);
    for (const std::string& remark : line.remarks) what += "; " + remark;
    out += wrapped(fmt::format("{:>5}  {}  {}", line.event->seq, record::to_string(line.event->at), what),
                   style.width, 0, 7) +
           "\n";
  }
  return out;
}

std::string check_text(const std::string& book_name, const record::Book& book, const review::Pass& pass,
                       const std::vector<Finding>& findings, const std::vector<review::BoltState>& bolts,
                       const TextStyle& style) {
  const review::Progress progress(pass);
  const std::size_t planned = pass.plan.steps.size(), filled = progress.filled_count();
  std::string out = fmt::format("{}, pass {}{}: {}\n", printable(book_name), pass.number,
                                pass.trial ? " (trial)" : "", printable(pass.title));
  if (pass.abandoned) out += "This pass was abandoned.\n";
  if (pass.build)
    out += fmt::format("operation {} of {}\n", printable(pass.build->operation),
                       printable(pass.build->build.title));
  if (!pass.plan.notice.empty()) out += wrapped(printable(pass.plan.notice), style.width, 0, 0) + "\n";
  out += fmt::format("{} of {} steps have their entry\n\n", filled, planned);
  out += findings_text(findings, style);
  if (!findings.empty()) out += "\n";
  const auto count = [&](Severity s) {
    return std::count_if(findings.begin(), findings.end(),
                         [s](const Finding& f) { return f.severity == s && !f.accepted; });
  };
  const auto faults = count(Severity::fault), warnings = count(Severity::warning);
  const bool complete = review::is_complete(pass, findings);
  out += complete ? "Complete: every step has its entry and no fault is open." : "Not complete.";
  if (faults + warnings > 0)
    out += fmt::format(" {} {}, {} {}.", faults, faults == 1 ? "fault" : "faults", warnings,
                       warnings == 1 ? "warning" : "warnings");
  out += "\n" + wrapped(text::kInWindowCaution, style.width, 0, 0) + "\n";
  out += estimates_text(bolts, style);
  out += fmt::format("last seal {}\n", book.seal);
  out += next_line(pass, progress.due());
  return out + standing_cautions(style.width);
}

}  // namespace clampbook::report
