#include <clampbook/report/colours.h>
#include <clampbook/report/escape.h>
#include <clampbook/report/page.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/report/record_charts.h>
#include <clampbook/report/record_parts.h>
#include <clampbook/text/cautions.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

namespace clampbook::report {

using review::Finding;
using review::Severity;

namespace {

constexpr std::string_view kScreen = R"(
*{box-sizing:border-box}
body{margin:0;font:1rem/1.5 sans-serif;color:var(--ink);background:var(--paper);overflow-wrap:anywhere}
main{max-width:56rem;margin:0 auto;padding:1rem}
h1{font-size:1.9rem;line-height:1.2;margin:.2rem 0}
h2{font-size:1.4rem;line-height:1.25;margin:2.2rem 0 .6rem;padding-top:.5rem;border-top:2px solid var(--line)}
h3,h2.minor{font-size:1.1rem;margin:1.2rem 0 .3rem;padding:0;border:0}
p,ul,dl,figure{margin:.3rem 0}
a{color:var(--accent)}
nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1rem;padding:0;list-style:none}
figure svg{display:block;width:100%;height:auto}
figcaption,.soft{color:var(--muted)}
.notice{font-weight:bold;border:2px solid var(--ink);padding:.3rem .6rem}
.verdict{font-size:1.25rem;font-weight:bold;border-left:.6rem solid var(--bad);background:var(--bad-soft);padding:.5rem .8rem}
.verdict.complete{border-color:var(--good);background:var(--good-soft)}
.facts{display:grid;grid-template-columns:minmax(6rem,auto) 1fr;gap:.1rem 1rem}
.facts dt{color:var(--muted)}.facts dd{margin:0}
.cautions{padding:0;list-style:none}.cautions li{border-left:.3rem solid var(--ink);padding-left:.6rem;margin:.3rem 0}
.finding{border-left:.4rem solid var(--line);padding:.2rem .7rem;margin:.6rem 0}
.finding.fault{border-color:var(--bad)}.finding.warning{border-color:var(--warn)}
.finding b{text-transform:uppercase;font-size:.85em;letter-spacing:.03em}
.fault b{color:var(--bad)}.warning b{color:var(--warn)}
table{border-collapse:collapse;width:100%;margin:.3rem 0}
th,td{border-bottom:1px solid var(--faint);padding:.25rem .5rem .25rem 0;text-align:left;vertical-align:top;overflow-wrap:break-word}
th{font-weight:normal;color:var(--muted)}tbody th{color:var(--ink);font-weight:bold}
td.w,th.w{overflow-wrap:anywhere}
@media (min-width:30rem){.n{white-space:nowrap}}
s{color:var(--muted)}
.m{width:1.15em;height:1.15em;vertical-align:-.2em;margin-right:.35em}
.p{display:block;width:6.5rem;height:.75rem}
.store{position:absolute;width:0;height:0;overflow:hidden}
.legend{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;padding:0;list-style:none}
.bolts{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,24rem),1fr));gap:0 2rem}
pre{white-space:pre-wrap;font-size:.85rem;border:1px solid var(--faint);padding:.6rem}
.seal{font-family:monospace;font-size:1.05rem}
.sign{display:grid;grid-template-columns:repeat(auto-fit,minmax(12rem,1fr));gap:1rem 2rem;margin-top:1rem}
.sign span{display:block;border-bottom:1.5px solid var(--ink);height:2.6rem}
@media (max-width:30rem){body{font-size:.9rem}main{padding:.6rem}h1{font-size:1.5rem}.p{width:4.5rem}}
)";

constexpr std::string_view kPrint = R"(@media print{
body{font-size:10pt}main{max-width:none;padding:0}nav,details{display:none}
h2,h3{break-after:avoid}tr,figure,.finding,.bolt,.sign{break-inside:avoid}.stage,.keep{break-inside:avoid}
.bolts{grid-template-columns:1fr 1fr}
}
)";

// Every page bears its number, the title and the notice.
std::string page_style(const plan::Plan& plan) {
  std::string out = colour_style();
  out += drawing_style();
  out += kScreen;
  out += fmt::format(
      "@page{{margin:16mm 14mm;@top-left{{content:{};font:9pt sans-serif}}@top-right{{content:{};font:bold "
      "9pt "
      "sans-serif}}@bottom-right{{content:\"page \" counter(page) \" of \" counter(pages);font:9pt "
      "sans-serif}}}}\n",
      style_string(shortened(plan.title, 60)), style_string(shortened(plan.notice, 70)));
  out += kPrint;
  return out;
}

std::size_t count(const std::vector<Finding>& findings, Severity severity) {
  return static_cast<std::size_t>(std::count_if(findings.begin(), findings.end(), [&](const Finding& f) {
    return f.severity == severity && !f.accepted;
  }));
}

std::string plural(std::size_t n, std::string_view word) {
  return fmt::format("{} {}{}", n, word, n == 1 ? "" : "s");
}

void fact(std::string& out, std::string_view name, std::string_view what) {
  out += element("dt", name) + element("dd", what);
}

// Who entered something, in the order of the book.
std::string people(const Record& record) {
  std::string out;
  std::set<std::string> met;
  for (const record::Event& event : record.book.events)
    if (const auto& by = event.remarks->by;
        by && event.pass() == record.pass.number && met.insert(*by).second)
      out += (out.empty() ? "" : ", ") + *by;
  return out;
}

std::string facts(const RecordParts& parts) {
  const Record& record = parts.record;
  const review::Pass& pass = parts.pass();
  std::string out = "<dl class=\"facts\">\n";
  fact(out, "Steps",
       fmt::format("{} of {} have their entry", parts.progress.filled_count(), pass.plan.steps.size()));
  const auto accepted = std::count_if(record.findings.begin(), record.findings.end(),
                                      [](const Finding& f) { return f.accepted.has_value(); });
  fact(out, "Findings",
       fmt::format("{}, {}, {}; {} accepted with a reason",
                   plural(count(record.findings, Severity::fault), "fault"),
                   plural(count(record.findings, Severity::warning), "warning"),
                   plural(count(record.findings, Severity::note), "note"), accepted));
  fact(out, "Pass",
       fmt::format("{}{}{}", pass.number, pass.trial ? ", a trial: the joint does not count as built" : "",
                   pass.abandoned ? ", abandoned" : ""));
  fact(out, "Begun", moment(pass.began, record.is_public));
  if (pass.ended) fact(out, "Last entry", moment(*pass.ended, record.is_public));
  if (const std::string names = people(record); !names.empty()) fact(out, "Entered by", names);
  if (!record.is_public) fact(out, "Book", record.book_name);
  return out + "</dl>\n";
}

std::string open_items(const RecordParts& parts) {
  constexpr std::size_t kMost = 12;
  std::string out;
  std::size_t shown = 0, left = 0;
  for (const FindingGroup& group : grouped(parts.record.findings)) {
    if (group.first->accepted || group.first->severity != Severity::fault) continue;
    if (shown == kMost) {
      ++left;
      continue;
    }
    ++shown;
    out += element("li", shortened(group.text, 400));
  }
  if (out.empty()) return {};
  if (left > 0) out += element("li", fmt::format("and {} more below", left));
  return element("h2", "What is open", "minor") + "<ul>\n" + out + "</ul>\n";
}

}  // namespace

std::string summary_section(const RecordParts& parts) {
  const plan::Plan& plan = parts.pass().plan;
  const bool complete = review::is_complete(parts.pass(), parts.record.findings);
  std::string out = element("h1", plan.title);
  if (!plan.machine.empty()) out += element("p", plan.machine);
  if (!plan.notice.empty()) out += element("p", plan.notice, "notice");
  out += fmt::format("<p class=\"verdict{}\">{}{}</p>\n", complete ? " complete" : "",
                     mark_in_text(complete ? BoltMark::in_window : BoltMark::open),
                     complete ? "Complete: every step has its entry and no fault is open." : "Not complete.");
  out += facts(parts) + open_items(parts);
  out += element("p", text::kInWindowCaution);
  out += "<ul class=\"cautions\">\n";
  for (const std::string_view caution : text::kStandingCautions) out += element("li", caution);
  return out + "</ul>\n";
}

std::string findings_section(const RecordParts& parts) {
  std::string out = "<h2 id=\"findings\">Findings</h2>\n";
  const std::vector<FindingGroup> groups = grouped(parts.record.findings);
  if (groups.empty()) return out + "<p>None.</p>\n";
  for (const FindingGroup& group : groups) {
    const Finding& f = *group.first;
    out += fmt::format("<div class=\"finding {}\">\n<p><b>{}{}</b> ", review::name(f.severity),
                       f.accepted ? "accepted " : "", review::name(f.severity));
    append_escaped(out, group.text);
    out += fmt::format(" <span class=\"soft\">[{}]</span></p>\n", f.slug);
    if (f.accepted)
      out += element("p", "Accepted because: " + *f.accepted);
    else if (!f.remedy.empty())
      out += element("p", "Do: " + f.remedy);
    out += "</div>\n";
  }
  return out;
}

namespace {

// Links to the sections that the page has.
std::string contents(const std::string& page) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 9> kSections{
      {{"picture", "Picture"},
       {"findings", "Findings"},
       {"bolts", "Bolts"},
       {"stages", "Stages"},
       {"lines", "Every line"},
       {"pieces", "Pieces"},
       {"tools", "Tools"},
       {"plan", "The plan"},
       {"seal", "Seal"}}};
  std::string out = "<nav aria-label=\"Contents\"><ul>\n";
  for (const auto& [id, name] : kSections)
    if (page.find(fmt::format("<h2 id=\"{}\">", id)) != std::string::npos)
      out += fmt::format("<li><a href=\"#{}\">{}</a></li>\n", id, name);
  return out + "</ul></nav>\n";
}

std::string picture(const RecordParts& parts) {
  const plan::Plan& plan = parts.pass().plan;
  if (plan.bolts.empty()) return {};  // gates of a build
  std::string out = "<div class=\"keep\">\n<h2 id=\"picture\">The bolts</h2>\n<figure>\n" +
                    bolt_drawing(plan, parts.marks, Setting::page).svg;
  if (!plan.view.empty()) out += element("figcaption", "View: " + plan.view);
  out += "</figure>\n<ul class=\"legend\">\n";
  std::array<std::size_t, 5> counts{};
  for (std::size_t i = 0; i < plan.bolts.size(); ++i)
    if (!parts.pass().index.turning(plan.bolts[i].id).empty())
      ++counts.at(static_cast<std::size_t>(parts.marks[i]));
  for (const BoltMark mark :
       {BoltMark::in_window, BoltMark::accepted, BoltMark::warning, BoltMark::open, BoltMark::fault})
    out += fmt::format("<li>{}{}: {}</li>\n", mark_in_text(mark), name(mark),
                       counts.at(static_cast<std::size_t>(mark)));
  return out + "</ul>\n</div>\n";
}

}  // namespace

std::string record_page(const Record& record, const std::vector<review::BoltState>& states,
                        const TextStyle& style) {
  const RecordParts parts(record, states, style);
  std::string out =
      page_start(fmt::format("Record: {}", record.pass.plan.title), page_style(record.pass.plan));
  std::string body = picture(parts);
  for (const auto section : {findings_section, bolts_section, stages_section, lines_section, pieces_section,
                             tools_section, plan_section, seal_section})
    body += section(parts);
  out +=
      mark_symbols() + "<main>\n<header>\n" + summary_section(parts) + "</header>\n" + contents(body) + body;
  return out + "</main>\n" + std::string(page_end());
}

std::string record_page(const Record& record, const TextStyle& style) {
  return record_page(record, review::bolt_states(record.passes, record.pass), style);
}

std::vector<std::pair<std::string, std::string>> record_drawings(const Record& record,
                                                                 const std::vector<review::BoltState>& states,
                                                                 const TextStyle& style) {
  const RecordParts parts(record, states, style);
  std::vector<std::pair<std::string, std::string>> out;
  if (!record.pass.plan.bolts.empty())
    out.emplace_back("bolts.svg", bolt_drawing(record.pass.plan, parts.marks, Setting::file).svg);
  for (const plan::PlanStage& stage : record.pass.plan.stages)
    if (const auto steps = parts.steps.find(stage.stage); steps != parts.steps.end())
      if (std::string svg = strip_chart(parts.progress, stage, steps->second, style, Setting::file);
          !svg.empty())
        out.emplace_back(fmt::format("stage_{}.svg", stage.stage), std::move(svg));
  if (std::string svg = torque_angle_chart(parts.progress, style, Setting::file); !svg.empty())
    out.emplace_back("torque_angle.svg", std::move(svg));
  if (std::string svg =
          preload_chart(states, parts.predictions, style, Setting::file, record.pass.plan.notice);
      !svg.empty())
    out.emplace_back("clamp_load.svg", std::move(svg));
  return out;
}

}  // namespace clampbook::report
