#include <clampbook/report/pass_text.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using review::Finding;
using review::Severity;
using text::printable;

std::string next_line(const plan::Step* next) {
  if (next == nullptr) return "next: nothing; every step has its entry\n";
  return fmt::format("next: step {}, {}\n", next->step, printable(next->text));
}

namespace {

// Unfilled steps of one stage are one thing to a person: one line, with all the bolts.
bool belongs_to(const Finding& f, const Finding& first) {
  return f.slug == first.slug && f.stage == first.stage && f.remedy == first.remedy &&
         f.state == first.state && !f.seq && !f.accepted && !first.accepted;
}

std::string paragraph(const Finding& f, std::string_view what, const TextStyle& style) {
  const std::string front = f.accepted ? fmt::format("accepted {}", review::name(f.severity))
                                       : std::string(review::name(f.severity));
  std::string out =
      wrapped(fmt::format("{}: {} [{}]", front, printable(what), f.slug), style.width, 0, 2) + "\n";
  if (f.accepted)
    return out + wrapped(fmt::format("because: {}", printable(*f.accepted)), style.width, 2, 6) + "\n";
  if (!f.remedy.empty()) out += wrapped(fmt::format("do: {}", printable(f.remedy)), style.width, 2, 6) + "\n";
  return out;
}

}  // namespace

std::string findings_text(const std::vector<Finding>& findings, const TextStyle& style) {
  std::string out;
  for (const Severity severity : {Severity::fault, Severity::warning, Severity::note}) {
    for (std::size_t i = 0; i < findings.size(); ++i) {
      const Finding& f = findings[i];
      if (f.severity != severity) continue;
      std::vector<const Finding*> alike{&f};
      if (!f.seq && f.stage)
        while (i + 1 < findings.size() && belongs_to(findings[i + 1], f)) alike.push_back(&findings[++i]);
      if (alike.size() == 1) {
        out += paragraph(f, f.text, style);
        continue;
      }
      // "stage 6 (angle 60°), bolt 3: no reading" for each of them: the front once, then the bolts, then the
      // rest.
      const std::size_t colon = f.text.rfind(": "), comma = f.text.rfind(", ", colon);
      std::string names;
      for (const Finding* other : alike) {
        const std::size_t end = other->text.rfind(": "), start = other->text.rfind(", ", end) + 2;
        std::string name = other->text.substr(start, end - start);
        if (!names.empty() && name.starts_with("bolt ")) name.erase(0, 5);
        names += (names.empty() ? "" : ", ") + name;
      }
      if (names.starts_with("bolt ")) names.insert(4, "s");
      out += paragraph(f, f.text.substr(0, comma) + ", " + names + f.text.substr(colon), style);
    }
  }
  return out;
}

std::string entries_text(const review::Pass& pass, const TextStyle& style) {
  std::string out = fmt::format("{}{}, begun {}\n", printable(pass.title), pass.trial ? " (trial)" : "",
                                record::to_string(pass.began));
  const review::Progress progress(pass, true);
  for (const review::Entry& entry : pass.entries) {
    const plan::Step* step = progress.find(entry.step);
    if (step == nullptr) continue;
    std::string what = step->bolt    ? "bolt " + printable(*step->bolt)
                       : step->label ? printable(*step->label)
                                     : std::string();
    what +=
        fmt::format("{}stage {} ({}): ", what.empty() ? "" : ", ", step->stage, schedule::name(step->kind));
    what += entry.value   ? both_systems(*entry.value, style)
            : entry.count ? units::format_number(*entry.count)
                          : std::string("done");
    if (entry.also) what += ", also " + both_systems(*entry.also, style);
    if (!entry.tool.empty()) what += ", with " + printable(entry.tool);
    if (entry.corrects) what += fmt::format(", corrects line {}", *entry.corrects);
    if (entry.voided_by) what += fmt::format(" -- does not count, see line {}", *entry.voided_by);
    if (entry.past_piece) what += " -- a bolt that was taken out since";
    out += wrapped(fmt::format("{:>5}  {}  {}", entry.seq, record::to_string(entry.at), what), style.width, 0,
                   7) +
           "\n";
  }
  return out;
}

std::string check_text(const std::string& book_name, const record::Book& book, const review::Pass& pass,
                       const std::vector<Finding>& findings, const TextStyle& style) {
  const review::Progress progress(pass);
  const std::size_t planned = pass.plan.steps.size(), filled = progress.filled_count();
  std::string out = fmt::format("{}, pass {}{}: {}\n", printable(book_name), pass.number,
                                pass.trial ? " (trial)" : "", printable(pass.title));
  if (pass.build)
    out +=
        fmt::format("operation {} of {}\n", printable(pass.build->operation), printable(pass.build->title));
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
  out += "\n" +
         wrapped(
             "In window means that the readings match the plan. It does not say that the joint is sound: a "
             "torque alone does not show the clamp load.",
             style.width, 0, 0) +
         "\n";
  out += fmt::format("last seal {}\n", book.seal);
  out += next_line(progress.due());
  return out;
}

}  // namespace clampbook::report
