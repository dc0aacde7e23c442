#include <clampbook/review/finding.h>
#include <clampbook/review/judgement.h>

#include <algorithm>
#include <set>
#include <tuple>

namespace clampbook::review {

using text::Json;

std::string_view name(Severity severity) {
  switch (severity) {
    case Severity::fault:
      return "fault";
    case Severity::warning:
      return "warning";
    case Severity::note:
      break;
  }
  return "note";
}

std::vector<Finding> find_findings(const record::Book& book, const std::vector<Pass>& passes,
                                   const Pass& pass, Until until, const PassEstimates* estimates) {
  const Seen seen{book, passes, pass};
  return Judgement(seen).findings(seen, until, estimates);
}

std::vector<Finding> not_in(const std::vector<Finding>& known, std::vector<Finding> findings) {
  using Identity = std::tuple<std::string_view, std::int64_t, std::optional<int>, std::optional<std::int64_t>,
                              std::string_view>;
  const auto identity = [](const Finding& f) {
    return Identity(f.slug, f.pass, f.step, f.seq, f.state ? std::string_view(*f.state) : std::string_view());
  };
  std::set<Identity> said;
  for (const Finding& f : known) said.insert(identity(f));
  std::erase_if(findings, [&](const Finding& f) { return said.contains(identity(f)); });
  return findings;
}

bool falls_short(const std::vector<Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(),
                     [](const Finding& f) { return f.severity != Severity::note && !f.accepted; });
}

bool is_complete(const Pass& pass, const std::vector<Finding>& findings) {
  return Progress(pass).complete() && std::none_of(findings.begin(), findings.end(), [](const Finding& f) {
           return f.severity == Severity::fault && !f.accepted;
         });
}

Json to_json(const Finding& f) {
  return Json::object()
      .set("slug", f.slug)
      .set("severity", name(f.severity))
      .set("pass", f.pass)
      .set("stage", f.stage)
      .set("step", f.step)
      .set("bolt", f.bolt)
      .set("seq", f.seq)
      .set("state", f.state)
      .set("fits_step", f.fits_step)
      .set("text", f.text)
      .set("remedy", f.remedy)
      .set("accepted", f.accepted);
}

}  // namespace clampbook::review
