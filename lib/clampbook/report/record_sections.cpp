// Bolt by bolt, stage by stage, and what a later reader looks up.
#include <clampbook/plan/window.h>
#include <clampbook/report/escape.h>
#include <clampbook/report/figures.h>
#include <clampbook/report/page.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/report/record_charts.h>
#include <clampbook/report/record_parts.h>
#include <clampbook/report/step_text.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

namespace clampbook::report {

using plan::Step;
using review::Entry;

namespace {

std::string table_head(std::initializer_list<std::string_view> columns) {
  std::string out = "<table>\n<thead><tr>";
  for (const std::string_view column : columns)
    (out += "<th scope=\"col\">") += std::string(column) + "</th>";
  return out + "</tr></thead>\n<tbody>\n";
}
constexpr std::string_view kTableEnd = "</tbody>\n</table>\n";

void cell(std::string& out, std::string_view text, std::string_view style = "") {
  out += style.empty() ? "<td>" : fmt::format("<td class=\"{}\">", style);
  append_escaped(out, text);
  out += "</td>";
}
void row_head(std::string& out, std::string_view text, std::string_view style = "w") {
  out += fmt::format("<tr><th scope=\"row\" class=\"{}\">", style);
  append_escaped(out, text);
  out += "</th>";
}

std::string times(std::int64_t n) {
  return n == 0 ? "never" : n == 1 ? "once" : n == 2 ? "twice" : fmt::format("{} times", n);
}

// Where the reading lies in its window: drawn, and in words.
void place_in_window(std::string& out, const Step& step, const Entry& entry, const RecordParts& parts) {
  const auto part = judged_part(step, entry);
  const std::string window = window_words(step, parts.style, true);
  if (!part || !step.low || !step.high || entry.click) {
    append_escaped(out, window);
    return;
  }
  const double low = step.low->in(part->unit()), high = step.high->in(part->unit()), value = part->number();
  const double wide = high - low;
  const plan::Side side = plan::side(*part, step.low, step.high);
  const bool below = side == plan::Side::below, above = side == plan::Side::above;
  const double share = wide > 0 ? (value - low) / wide : 0.5;
  const double x = below ? 8 : above ? 92 : 15 + 70 * std::clamp(share, 0.0, 1.0);
  out += "<svg class=\"p\" viewBox=\"0 0 100 10\" aria-hidden=\"true\"><use href=\"#w\"/><path class=\"";
  out += below || above ? "bad\" d=\"" + triangle(x, 5, 5, above) : "dots\" d=\"M" + coordinate(x) + " 5h0";
  out += "\"/></svg>";
  const std::string place = below   ? "below "
                            : above ? "above "
                                    : fmt::format("{:.0f} % up ", 100 * std::clamp(share, 0.0, 1.0));
  append_escaped(out, place + window);
}

std::string estimate_words(const review::BoltState& state, const TextStyle& style) {
  const review::BoltEstimate& estimate = state.estimate;
  if (!estimate.preload) return fmt::format("Clamp load: not estimated: {}.", estimate.why_not);
  std::string out = "Clamp load " + Figures(style).force(*estimate.preload);
  if (estimate.friction)
    out += fmt::format("; friction {:.2f}, 90 % between {:.2f} and {:.2f}", estimate.friction->median,
                       estimate.friction->p5, estimate.friction->p95);
  if (estimate.yielded) {
    const double percent = 100 * *estimate.yielded;
    out += percent > 99.5  ? "; past its yield point"
           : percent < 0.5 ? "; not past its yield point"
                           : fmt::format("; past its yield point with a probability of {:.0f} %", percent);
  }
  if (estimate.loosened) out += "; all this before it was loosened";
  if (!estimate.why_not.empty()) out += "; of its friction nothing is said: " + estimate.why_not;
  return out + ".";
}

void bolt(std::string& out, const RecordParts& parts, std::size_t position, const review::BoltState& state) {
  const review::Pass& pass = parts.pass();
  const BoltMark mark = parts.marks[position];
  out += "<div class=\"bolt\">\n<h3>" + mark_in_text(mark) + "Bolt ";
  append_escaped(out, state.id);
  out += fmt::format(": {}</h3>\n<p class=\"soft\">", name(mark));
  append_escaped(out, state.fastener);
  out += fmt::format(", tightened {}</p>\n", times(state.uses));
  out += table_head({"Stage", "Read", "Window", "Line"});
  for (const std::size_t at : pass.index.turning(state.id)) {
    const Step& step = pass.plan.steps[at];
    row_head(out, fmt::format("{} {}", step.stage, schedule::name(step.kind)), "n");
    const Entry* entry = parts.progress.standing(step.step);
    if (entry == nullptr) {
      cell(out, "not read");
      cell(out, window_words(step, parts.style, true));
      out += "<td></td></tr>\n";
      continue;
    }
    cell(out, entry_words(*entry, parts.style, false));
    out += "<td>";
    place_in_window(out, step, *entry, parts);
    out += fmt::format("</td><td>{}</td></tr>\n", entry->seq);
  }
  out += kTableEnd;
  out += element("p", estimate_words(state, parts.style)) + "</div>\n";
}

// One row: so many bolts are looked up, not read through.
void bolt_row(std::string& out, const RecordParts& parts, std::size_t position,
              const review::BoltState& state) {
  row_head(out, state.id);
  out += fmt::format("<td>{}{}</td><td>", mark_in_text(parts.marks[position]), name(parts.marks[position]));
  const char* between = "";
  for (const std::size_t at : parts.pass().index.turning(state.id)) {
    const Step& step = parts.pass().plan.steps[at];
    out += fmt::format("{}{}: ", std::exchange(between, "; "), step.stage);
    const Entry* entry = parts.progress.standing(step.step);
    append_escaped(out, entry != nullptr ? entry_words(*entry, parts.style, true) : "not read");
    if (entry == nullptr || !step.low || !step.high) continue;
    const auto part = judged_part(step, *entry);
    if (!part) continue;
    const plan::Side side = plan::side(*part, step.low, step.high);
    if (side != plan::Side::inside) out += side == plan::Side::below ? " (below)" : " (above)";
  }
  out += "</td>";
  cell(out, state.estimate.preload ? estimate_words(state, parts.style) : "not estimated");
  out += "</tr>\n";
}

}  // namespace

std::string bolts_section(const RecordParts& parts) {
  if (parts.states.empty()) return {};
  std::string out =
      "<h2 id=\"bolts\">Bolt by bolt</h2>\n<div class=\"store\" aria-hidden=\"true\"><svg "
      "xmlns=\"http://www.w3.org/2000/svg\"><g id=\"w\"><rect class=\"band\" x=\"15\" y=\"1\" width=\"70\" "
      "height=\"8\"/><path class=\"ink\" d=\"M15 0v10M85 0v10\"/></g></svg></div>\n";
  out += parts.large ? "<div>\n" : "<div class=\"bolts\">\n";
  if (parts.large) out += table_head({"Bolt", "State", "Read, by stage", "Clamp load"});
  for (const review::BoltState& state : parts.states)
    if (const auto position = parts.pass().index.bolt(state.id))
      (parts.large ? bolt_row : bolt)(out, parts, *position, state);
  if (parts.large) out += kTableEnd;
  out += "</div>\n";
  if (const std::string chart = preload_chart(parts.states, parts.predictions, parts.style, Setting::page);
      !chart.empty())
    out += "<h3>Clamp load against yield</h3>\n<figure>\n" + chart + "</figure>\n";
  return out;
}

namespace {

std::string gate_table(const RecordParts& parts, const std::vector<const Step*>& steps) {
  std::string out = table_head({"At", "Entry", "Asked for", "Line"});
  for (const Step* step : steps) {
    row_head(out, step->label ? *step->label : "the joint");
    const Entry* entry = parts.progress.standing(step->step);
    cell(out, entry != nullptr ? entry_words(*entry, parts.style, false) : "no entry");
    cell(out, window_words(*step, parts.style, false));
    out += entry != nullptr ? fmt::format("<td>{}</td></tr>\n", entry->seq) : "<td></td></tr>\n";
  }
  return out + std::string(kTableEnd);
}

std::string stage(const RecordParts& parts, const plan::PlanStage& listed,
                  const std::vector<const Step*>& steps) {
  const Step& front = *steps.front();
  std::string out = "<section class=\"stage\">\n" +
                    element("h3", fmt::format("Stage {}: {}{}", listed.stage, listed.text,
                                              listed.name ? fmt::format(", “{}”", *listed.name) : ""));
  const auto filled = std::count_if(steps.begin(), steps.end(),
                                    [&](const Step* s) { return parts.progress.filled(s->step); });
  if (front.is_gate()) return out + gate_table(parts, steps) + "</section>\n";
  std::string words = fmt::format("{} of {} have their entry", filled, steps.size());
  if (front.low && front.high)
    words += fmt::format("; window {}{}", window_words(front, parts.style, false),
                         front.assumed ? ", an assumed tolerance" : "");
  if (front.final_torque)
    words += "; final torque " + both_systems(front.final_torque->low, front.final_torque->high, parts.style);
  out += element("p", words + ".");
  const std::string chart = strip_chart(parts.progress, listed, steps, parts.style, Setting::page);
  if (!chart.empty()) out += "<figure>\n" + chart + "</figure>\n";
  return out + "</section>\n";
}

}  // namespace

std::string stages_section(const RecordParts& parts) {
  std::string out = "<h2 id=\"stages\">Stage by stage</h2>\n";
  for (const plan::PlanStage& listed : parts.pass().plan.stages)
    if (const auto steps = parts.steps.find(listed.stage); steps != parts.steps.end())
      out += stage(parts, listed, steps->second);
  if (const std::string chart = torque_angle_chart(parts.progress, parts.style, Setting::page);
      !chart.empty())
    out += "<h3>Torque against angle</h3>\n<figure>\n" + chart + "</figure>\n";
  return out;
}

std::string lines_section(const RecordParts& parts) {
  std::string out = "<h2 id=\"lines\">Every line</h2>\n";
  out += element("p",
                 "In the order of the book. Nothing is taken out: what was corrected stays, struck through.");
  out += table_head({"Line", "Time", "What"});
  for (const RecordLine& line : record_lines(parts.record.book, parts.pass(), parts.style)) {
    out += fmt::format("<tr><th scope=\"row\">{}</th>", line.event->seq);
    cell(out, moment(line.event->at, parts.record.is_public), "n");
    out += line.why_not.empty() ? "<td class=\"w\">" : "<td class=\"w\"><s>";
    append_escaped(out, line.what);
    if (!line.why_not.empty()) out += "</s> " + escaped(line.why_not);
    for (const std::string& remark : line.remarks) {
      out += "<br>";
      append_escaped(out, remark);
    }
    out += "</td></tr>\n";
  }
  out += kTableEnd;
  for (const record::Damage& damage : parts.record.book.damages) out += element("p", damage.what);
  return out;
}

std::string pieces_section(const RecordParts& parts) {
  if (parts.states.empty()) return {};
  std::string out = "<h2 id=\"pieces\">The bolts themselves</h2>\n";
  out += element("p", "Every piece that this book met at this joint, up to this pass.");
  out += table_head({"Bolt", "Fastener", "Since line", "Tightened"});
  const review::Pieces pieces(parts.record.passes, parts.pass().number);
  for (const review::Piece& piece : pieces.all()) {
    if (piece.title != parts.pass().title) continue;
    row_head(out, piece.bolt);
    cell(out, piece.fastener, "w");
    out += fmt::format("<td>{}</td>", piece.fitted_seq);
    std::string words = times(piece.tightened);
    if (piece.past_yield > 0) words += fmt::format(", perhaps past yield {}", times(piece.past_yield));
    if (const auto limit = piece.limit()) words += fmt::format(", {} allowed", *limit);
    if (piece.free_measured > 1)
      words += fmt::format(", grown by {:.3f} mm", *piece.free_last - *piece.free_first);
    if (piece.overused()) words += ": over its limit";
    cell(out, words);
    out += "</tr>\n";
  }
  return out + std::string(kTableEnd);
}

namespace {

std::string day(const std::optional<std::chrono::year_month_day>& d) {
  if (!d) return "not said";
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(d->year()), static_cast<unsigned>(d->month()),
                     static_cast<unsigned>(d->day()));
}

class ToolTable {
 public:
  explicit ToolTable(const RecordParts& parts) : style_(parts.style) {
    for (const Entry& entry : parts.pass().entries)
      if (!entry.tool.empty() && !entry.voided_by) ++used_[entry.tool];
  }

  std::string write(const std::optional<schedule::ToolList>& list) {
    std::string out = table_head({"Tool", "What it does", "Calibrated, due", "Readings"});
    if (list) {
      for (const schedule::TorqueWrench& w : list->torque_wrenches)
        row(out, w.name,
            fmt::format("torque {}, off by at most {}", both_systems(w.range.low, w.range.high, style_),
                        units::format(w.accuracy)),
            w.calibration);
      for (const auto* gauges : {&list->angle_gauges, &list->length_gauges})
        for (const schedule::Gauge& g : *gauges)
          row(out, g.name, fmt::format("off by at most {}", both_systems(g.accuracy, style_)), g.calibration);
    }
    for (const auto& [name, readings] : used_) {
      row_head(out, name);
      out += fmt::format("<td>not in the tool list</td><td>not said</td><td>{}</td></tr>\n", readings);
    }
    return out + std::string(kTableEnd);
  }

 private:
  void row(std::string& out, const std::string& name, std::string_view what, const schedule::Calibration& c) {
    row_head(out, name);
    cell(out, what);
    cell(out, fmt::format("{}, {}", day(c.done), day(c.due)));
    const auto found = used_.find(name);
    out += fmt::format("<td>{}</td></tr>\n", found == used_.end() ? 0 : found->second);
    if (found != used_.end()) used_.erase(found);
  }

  const TextStyle& style_;
  std::map<std::string, std::size_t> used_;
};

}  // namespace

std::string tools_section(const RecordParts& parts) {
  std::string out = "<h2 id=\"tools\">Tools</h2>\n";
  const review::Pass& pass = parts.pass();
  const bool named =
      std::any_of(pass.entries.begin(), pass.entries.end(), [](const Entry& e) { return !e.tool.empty(); });
  if (!pass.tools && !named) return out + "<p>No tool was named.</p>\n";
  return out + ToolTable(parts).write(pass.tools);
}

namespace {

std::string sources_list(const schedule::Schedule& schedule) {
  if (schedule.sources.empty()) return "<p>No source is named.</p>\n";
  std::string out = "<ul>\n";
  for (const schedule::SourceNote& note : schedule.sources)
    out += element("li", fmt::format("{}: {} ({})", note.name, note.text, schedule::name(note.standing)));
  return out + "</ul>\n";
}

// Who vouches for a stage's figure, and what each of them says.
std::string origin(const RecordParts& parts, int number) {
  if (!parts.schedule) return {};
  std::string out;
  for (const schedule::Stage& stage : parts.schedule->stages) {
    if (stage.number != number) continue;
    for (const std::string& name : stage.sources) out += (out.empty() ? "" : ", ") + name;
    for (const schedule::Saying& saying : stage.says)
      out += fmt::format("{}{} says {}", out.empty() ? "" : "; ", saying.source,
                         both_systems(saying.figure.nominal, parts.style));
  }
  return out;
}

}  // namespace

std::string plan_section(const RecordParts& parts) {
  const review::Pass& pass = parts.pass();
  std::string out = "<h2 id=\"plan\">The plan</h2>\n" + table_head({"Stage", "What", "Window", "Source"});
  for (const plan::PlanStage& listed : pass.plan.stages) {
    const auto steps = parts.steps.find(listed.stage);
    row_head(out, fmt::format("{}", listed.stage));
    cell(out, listed.text, "w");
    cell(out, steps != parts.steps.end() ? window_words(*steps->second.front(), parts.style, false)
                                         : "not in this pass");
    cell(out, origin(parts, listed.stage), "w");
    out += "</tr>\n";
  }
  out += kTableEnd;
  std::string order;
  for (const std::string& id : pass.plan.order) order += (order.empty() ? "" : ", ") + id;
  out += element("p", "Order of the bolts: " + order + ".");
  out += "<h3>Sources</h3>\n";
  out +=
      parts.schedule ? sources_list(*parts.schedule) : "<p>The schedule's text can't be read any more.</p>\n";
  if (!parts.cautions.empty()) {
    out += "<h3>Cautions</h3>\n<ul class=\"cautions\">\n";
    for (const plan::Caution& c : parts.cautions)
      out += element("li", fmt::format("{} [{}]", c.text, c.slug));
    out += "</ul>\n";
  }
  if (!parts.record.is_public && !pass.schedule_text.empty()) {
    out += "<details><summary>The schedule as it was written</summary>\n<pre>";
    for (std::size_t at = 0; at < pass.schedule_text.size();) {
      const std::size_t end = std::min(pass.schedule_text.find('\n', at), pass.schedule_text.size());
      append_escaped(out, std::string_view(pass.schedule_text).substr(at, end - at));
      out += "\n";
      at = end + 1;
    }
    out += "</pre></details>\n";
  }
  return out;
}

std::string seal_section(const RecordParts& parts) {
  std::string out = "<h2 id=\"seal\">Seal and signature</h2>\n";
  out +=
      "<p>The book's last seal when this was written; with it the paper shows whether the book is still the "
      "same.</p>\n" +
      element("p", parts.record.book.seal, "seal");
  out +=
      fmt::format("<p>Schedule SHA-256 <span class=\"seal\">{}</span></p>\n", escaped(parts.pass().sha256));
  return out +
         "<div class=\"sign\">\n<div>Done by<span>&#160;</span></div>\n<div>Date<span>&#160;</span></div>\n"
         "<div>Seen by<span>&#160;</span></div>\n</div>\n";
}

}  // namespace clampbook::report
