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

std::string findings_text(const std::vector<Finding>& findings, const TextStyle& style) {
  std::string out;
  for (const Severity severity : {Severity::fault, Severity::warning, Severity::note}) {
    for (const Finding& f : findings) {
      if (f.severity != severity) continue;
      out += wrapped(fmt::format("{}: {} [{}]", review::name(severity), printable(f.text), f.slug), style.width, 2) + "\n";
      if (!f.remedy.empty()) out += "  " + wrapped(fmt::format("do: {}", printable(f.remedy)), style.width, 6) + "\n";
    }
  }
  return out;
}

std::string check_text(const std::string& book_name, const record::Book& book, const review::Pass& pass,
                       const std::vector<Finding>& findings, const TextStyle& style) {
  const review::Progress progress(pass);
  const std::size_t planned = pass.plan.steps.size(), filled = progress.filled_count();
  std::string out = fmt::format("{}, pass {}{}: {}\n", printable(book_name), pass.number, pass.trial ? " (trial)" : "", printable(pass.title));
  if (!pass.plan.notice.empty()) out += wrapped(printable(pass.plan.notice), style.width, 0) + "\n";
  out += fmt::format("{} of {} steps have their entry\n\n", filled, planned);
  out += findings_text(findings, style);
  if (!findings.empty()) out += "\n";
  const auto count = [&](Severity s) { return std::count_if(findings.begin(), findings.end(), [s](const Finding& f) { return f.severity == s && !f.accepted; }); };
  const auto faults = count(Severity::fault), warnings = count(Severity::warning);
  const bool complete = review::is_complete(pass, findings);
  out += complete ? "Complete: every step has its entry and no fault is open." : "Not complete.";
  if (faults + warnings > 0) out += fmt::format(" {} {}, {} {}.", faults, faults == 1 ? "fault" : "faults", warnings, warnings == 1 ? "warning" : "warnings");
  out += "\n" + wrapped("In window means that the readings match the plan. It does not say that the joint is sound: a torque alone does not show the clamp load.", style.width, 0) + "\n";
  out += fmt::format("last seal {}\n", book.seal);
  out += next_line(progress.due());
  return out;
}

}  // namespace clampbook::report
