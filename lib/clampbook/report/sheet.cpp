#include <clampbook/report/bolt_drawing.h>
#include <clampbook/report/colours.h>
#include <clampbook/report/escape.h>
#include <clampbook/report/page.h>
#include <clampbook/report/paper.h>
#include <clampbook/report/sheet.h>
#include <clampbook/report/sheet_stage.h>
#include <clampbook/report/step_text.h>
#include <clampbook/text/cautions.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using plan::Plan;

namespace {

// Sizes in em of the base, which is 12 points on paper.
constexpr std::string_view kStyle = R"(
*{box-sizing:border-box}
body{margin:0;font:12pt/1.3 sans-serif;color:var(--ink);background:var(--paper);overflow-wrap:anywhere}
h1,h2,p,ul,ol,table,figure{margin:0;padding:0}
h2{font-size:1.6em;line-height:1.25}
.front{font-size:2em;line-height:1.2;font-weight:bold}
.page{max-width:190mm;margin:0 auto;padding:1em;border-bottom:3px solid var(--ink)}
header{border-bottom:2px solid var(--ink);padding-bottom:1mm;margin-bottom:2mm}
.title{font-size:1.2em;font-weight:bold}
.notice{font-size:1.1em;font-weight:bold}
.machine{font-size:1.15em}
footer{border-top:2px solid var(--ink);margin-top:3mm;padding-top:1mm;font-size:.92em}
footer ul{list-style:none}
footer .mark{display:flex;justify-content:space-between;gap:1em;font-size:.78em;margin-top:1mm}
figure{text-align:center;margin:1mm 0 2mm}
figure svg{width:100%;height:auto;display:block;margin:0 auto}
figcaption{font-size:1.15em}
.target{font-size:3.3em;font-weight:bold;line-height:1.15}
.target small{font-size:.55em;font-weight:normal}
.window{font-size:1.6em}
.window small{font-size:.6em}
.set{font-size:1.25em}
.source{font-size:1em}
.caution{border:2px solid var(--ink);border-left-width:8px;padding:1mm 2mm;margin:1mm 0;font-size:1.08em}
.list{font-size:1.08em}
.halves{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:0 6mm;margin:1mm 0 4mm}
.whole{margin:1mm 0 4mm}
table{border-collapse:collapse;width:100%}
th,td{border:1px solid var(--ink);padding:0 1.5mm;text-align:left;vertical-align:middle}
thead th{font-size:.95em;font-weight:normal;height:6mm;overflow-wrap:normal}
tbody tr{height:11mm}
td.turn{width:14mm;text-align:center;font-size:1.3em}
th.bolt{font-size:1.9em;line-height:1}
th.bolt small{font-size:.5em;font-weight:normal;display:block}
th.long{font-size:1.1em}
td.box{width:15mm;text-align:center}
td.value{width:42%}
.whole td.value{width:34%}
td.figure{font-size:1.05em}
.tick{display:inline-block;width:8mm;height:8mm;border:2.5px solid var(--ink);vertical-align:middle}
.gate{font-size:1.6em;font-weight:bold;line-height:1.25}
.write{font-size:1.3em;margin:2mm 0 4mm;display:flex;flex-wrap:wrap;align-items:center;gap:3mm 6mm}
.blank{display:inline-block;border-bottom:2px solid var(--ink);min-width:36mm;height:9mm;vertical-align:bottom}
.sign{font-size:1.15em;display:grid;grid-template-columns:repeat(3,minmax(0,1fr));gap:5mm;margin-top:2mm}
.sign span{border-bottom:2px solid var(--ink);height:9mm;display:block}
@media screen and (max-width:600px){
body{font-size:11px}.halves{grid-template-columns:minmax(0,1fr)}footer .mark{display:block}
}
@media print{
@page{margin:10mm}

.page{width:190mm;max-width:none;margin:0;padding:0 1px;border:0;break-after:page;break-inside:avoid}
.page:last-child{break-after:auto}
}
)";

std::string sheet_style() {
  return paper_style() + std::string(drawing_style()) + std::string(kStyle);
}

// The pages of one schedule.
class Writer {
 public:
  Writer(const SheetPart& part, const TextStyle& style)
      : part_(part), schedule_(part.schedule), plan_(part.plan), style_(style), paper_(capacity()) {}

  /// `last`: the signatures come behind it. Gives the number of pages.
  std::size_t fill(bool first, bool last) {
    front(first);
    const SheetStages stages(schedule_, plan_, style_);
    for (const std::span<const plan::Step> steps : stage_runs(plan_)) stages.add(paper_, steps);
    if (last) signature();
    return paper_.pages().size();
  }

  /// Page `i` of this part, which bears the number `number` of `all`.
  void write(std::string& out, std::size_t i, std::size_t number, std::size_t all) const {
    out += fmt::format("<section class=\"page\" aria-label=\"page {} of {}\">\n<header>\n", number, all);
    if (i > 0) out += element("p", running_title(), "title");
    if (!plan_.notice.empty()) out += element("p", running_notice(), "notice");
    out += "</header>\n" + paper_.pages()[i] + "<footer>\n<ul>\n";
    for (const std::string_view caution : text::kStandingCautions)
      out += element("li", fmt::format("! {}", caution));
    out += "</ul>\n<div class=\"mark\">" +
           element("span", fmt::format("Schedule SHA-256 {}", part_.schedule_sha256)) +
           element("span", fmt::format("page {} of {}", number, all)) + "</div>\n</footer>\n</section>\n";
  }

 private:
  // What stands on every page is cut short there; the first page has the whole of it.
  [[nodiscard]] std::string running_title() const { return shortened(plan_.title, 90); }
  [[nodiscard]] std::string running_notice() const { return shortened(plan_.notice, 240); }

  // What is left between the head and the foot of each page.
  [[nodiscard]] double capacity() const {
    double taken = 14 + height_of(running_title(), 14.4, kPaperWidth, true);
    if (!plan_.notice.empty()) taken += height_of(running_notice(), 13.2, kPaperWidth, true);
    for (const std::string_view caution : text::kStandingCautions)
      taken += height_of(caution, 11, kPaperWidth - 6);
    return kPaperHeight - taken;
  }

  void front(bool first) {
    Block title;
    const std::string_view tag = first ? "h1" : "h2";  // a document has one name
    if (!part_.operation.empty()) title.put(tag, part_.operation, "front", 24, true, 1);
    // Gates of the build's own are called as the operation is.
    if (!part_.operation.starts_with(plan_.title))
      title.put(part_.operation.empty() ? tag : "p", shortened(plan_.title, 300), "front", 24, true, 1);
    if (plan_.title != shortened(plan_.title, 300)) title.put("p", plan_.title, "machine", 13.8);
    if (!plan_.machine.empty()) title.put("p", plan_.machine, "machine", 13.8, false, 1);
    if (plan_.notice != running_notice()) title.put("p", plan_.notice, "notice", 13.2, true);
    paper_.add(title);
    if (!plan_.bolts.empty()) picture();
    cautions();
    sources();
  }

  void picture() {
    const Drawing drawing = bolt_drawing(plan_, {}, Setting::page);
    constexpr double kTallest = 120;
    const double tall = drawing.height / drawing.width * kPaperWidth;
    const double shrunk = std::min(1.0, kTallest / tall);
    const std::string view =
        plan_.view.empty() ? std::string() : fmt::format("View: {}. ", shortened(plan_.view, 200));
    const std::string words =
        view + (plan_.bolts.size() > kMostNamed ? "The stages name every bolt and its turn."
                                                : "In the hexagon the bolt, in the disc its turn.");
    Block figure;
    figure.put_markup(
        fmt::format("<figure style=\"max-width:{}mm;margin:1mm auto\">\n{}{}</figure>\n",
                    coordinate(kPaperWidth * shrunk), drawing.svg, element("figcaption", words)),
        tall * shrunk + height_of(words, 13.8, kPaperWidth * shrunk) + 4);
    paper_.add(figure);
  }

  // Those that belong to no stage; the others stand beside their targets.
  void cautions() {
    Block block;
    for (const plan::Caution& c : plan_.cautions) {
      if (c.stage) continue;
      if (block.height() == 0) block.put("h2", "Before you begin", "", 19.2, true);
      block.put("p", fmt::format("! {} [{}]", c.text, c.slug), "caution", 13, false, 5);
    }
    paper_.add(block);
  }

  void sources() {
    if (schedule_.sources.empty()) return;
    Block block;
    block.put("h2", "Where the figures come from", "", 19.2, true);
    for (const schedule::SourceNote& note : schedule_.sources)
      block.put("p", fmt::format("{}: {} ({})", note.name, note.text, schedule::name(note.standing)), "list",
                13);
    paper_.add(block);
  }

  void signature() {
    Block block;
    block.put_markup(
        "<div class=\"sign\">\n<div>Done by<span>&#160;</span></div>\n<div>Date and "
        "time<span>&#160;</span></div>\n"
        "<div>Tools used<span>&#160;</span></div>\n</div>\n",
        20);
    paper_.add(block);
  }

  const SheetPart& part_;
  const schedule::Schedule& schedule_;
  const Plan& plan_;
  const TextStyle& style_;
  Paper paper_;
};

}  // namespace

Sheet sheet(std::string_view title, const std::vector<SheetPart>& parts, const TextStyle& style) {
  std::vector<Writer> writers;
  std::vector<std::size_t> counts;
  Sheet out;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    writers.emplace_back(parts[i], style);
    counts.push_back(writers.back().fill(i == 0, i + 1 == parts.size()));
    out.pages += counts.back();
  }
  out.html = page_start(title, sheet_style()) + "<main>\n";
  std::size_t number = 0;
  for (std::size_t i = 0; i < parts.size(); ++i)
    for (std::size_t page = 0; page < counts[i]; ++page)
      writers[i].write(out.html, page, ++number, out.pages);
  out.html += "</main>\n";
  out.html += page_end();
  return out;
}

}  // namespace clampbook::report
