#include <clampbook/report/escape.h>
#include <clampbook/report/page.h>
#include <clampbook/report/sheet_stage.h>
#include <clampbook/report/step_text.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>
#include <utility>

namespace clampbook::report {

using plan::Step;
using schedule::StageKind;

namespace {

constexpr double kRow = 11.1, kAroundTable = 11;                  // mm
constexpr std::size_t kOneColumn = 6, kLongId = 5, kMostId = 40;  // bolts; characters
constexpr std::string_view kBox = "<span class=\"tick\">&#160;</span>";

bool is_long(std::string_view id) {
  return text::display_width(id) > kLongId;
}

// The id, the group below it.
double row_height(std::string_view whole, bool group) {
  const std::string id = shortened(whole, kMostId);
  const double line = is_long(id) ? 6.1 : 8.1;
  return std::max(kRow, lines_of(id, is_long(id) ? 13.2 : 22.8, 30, true) * line + (group ? 5.2 : 1));
}

// The unit of what is written down, if anything is.
std::string value_head(const Step& step, units::System system) {
  const auto dimension = step.reading_dimension();
  if (!dimension) return {};
  // What the wrench shows is what is written down.
  const auto& shown = step.setting ? step.setting : step.target;
  const units::Unit& unit =
      shown && shown->dimension() == *dimension
          ? shown->unit()
          : units::unit_in(system, units::Measured(100, units::machine_unit(*dimension)));
  return fmt::format("read, {}", unit.spelling);
}

}  // namespace

SheetStages::SheetStages(const schedule::Schedule& schedule, const plan::Plan& plan, const TextStyle& style)
    : schedule_(schedule), plan_(plan), style_(style) {
  for (const schedule::Stage& stage : schedule.stages) stages_[stage.number] = &stage;
  for (const plan::PlanStage& stage : plan.stages) listed_[stage.stage] = &stage;
  for (const plan::PlanBolt& bolt : plan.bolts) bolts_[bolt.id] = &bolt;
}

void SheetStages::add(Paper& paper, std::span<const Step> steps) const {
  if (steps.front().is_gate()) {
    gate(paper, steps);
    return;
  }
  const bool alike = same_figures(steps);
  table(paper, steps, alike, head(steps, alike));
}

std::string SheetStages::heading(std::span<const Step> steps) const {
  const schedule::Stage& stage = *stages_.at(steps.front().stage);
  std::string out = fmt::format("Stage {}: {}", stage.number, schedule::row(stage.kind).sheet_heading);
  if (!stage.name.empty()) out += fmt::format(", “{}”", stage.name);
  if (!stage.bolts_given.empty()) out += fmt::format(", bolts {}", stage.bolts_given);
  if (schedule_.by == schedule::Completion::group && steps.front().bolt)
    out += ", " + bolts_.at(*steps.front().bolt)->group;
  return out;
}

Block SheetStages::head(std::span<const Step> steps, bool alike) const {
  Block out;
  out.put("h2", heading(steps), "", 19.2, true);
  if (alike) figures(out, steps);
  const plan::PlanStage& listed = *listed_.at(steps.front().stage);
  if (listed.tool) out.put("p", fmt::format("Tool: {}", listed.tool->text), "set", 15, false);
  if (const std::string setting = setting_text(steps.front(), listed.tool, style_); alike && !setting.empty())
    out.put("p", "! " + setting, "set", 15, true);
  if (steps.front().final_torque) {
    Step front = steps.front();
    const std::string lock_nuts = lock_nuts_text(steps, style_);
    if (!lock_nuts.empty()) front.prevailing.reset();
    out.put("p", "F" + final_torque_text(front, style_).substr(1), "window", 19.2, false);
    if (!lock_nuts.empty()) out.put("p", "! " + lock_nuts, "set", 15, true);
  }
  cautions(out, steps);
  origins(out, *stages_.at(steps.front().stage));
  return out;
}

void SheetStages::figures(Block& block, std::span<const Step> steps) const {
  const Step& step = steps.front();
  constexpr double kLarge = 39.6;
  if (!step.target || step.kind == StageKind::yield) {
    const std::string_view without = schedule::row(step.kind).without_figure;
    const std::string text = without.empty() ? listed_.at(step.stage)->text : std::string(without);
    block.put("p", text, "target", kLarge, true);
    return;
  }
  // "30 N·m (22.1 ft·lbf)": the second system smaller.
  const std::string both = both_systems(*step.target, style_);
  const std::size_t second = std::min(both.find(" ("), both.size());
  std::string target = "<p class=\"target\">" + escaped(both.substr(0, second));
  if (second < both.size()) target += "<small>" + escaped(both.substr(second)) + "</small>";
  block.put_markup(target + "</p>\n", height_of(both, kLarge * 0.8, kPaperWidth, true) * 1.12);
  if (step.low && step.high) {
    const std::string window = "Window " + both_systems(*step.low, *step.high, style_);
    const std::string_view assumed = step.assumed ? " assumed tolerance" : "";
    std::string html = "<p class=\"window\">" + escaped(window);
    if (!assumed.empty()) html += fmt::format("<small>{}</small>", assumed);
    block.put_markup(
        html + "</p>\n",
        height_of(fmt::format("{}{}", window, assumed.substr(assumed.size() / 2)), 19.2, kPaperWidth) + 0.4);
  }
  if (const std::string flats = flats_text(step, left_hand_alike(plan_, steps)); !flats.empty())
    block.put("p", flats, "set", 15, false);
}

void SheetStages::cautions(Block& block, std::span<const Step> steps) const {
  const auto add = [&](const std::string& text) { block.put("p", "! " + text, "caution", 13, false, 5); };
  std::set<std::string_view> fasteners;
  for (const Step& step : steps) fasteners.insert(bolts_.at(*step.bolt)->fastener);
  if (const std::string way = direction_text(plan_, steps); !way.empty()) add(way);
  const bool by_torque = steps.front().setting.has_value();
  for (const plan::Caution& c : plan_.cautions) {
    // Another lubricant matters wherever a torque is set.
    const bool here =
        c.stage ? *c.stage == steps.front().stage
                : by_torque && c.slug == "lubricant-differs" && c.fastener && fasteners.contains(*c.fastener);
    if (here) add(fmt::format("{} [{}]", c.text, c.slug));
  }
  if (std::any_of(steps.begin(), steps.end(), [](const Step& s) { return s.pulls_to_yield(); }))
    add(std::string(text::kYieldCaution));
}

void SheetStages::origins(Block& block, const schedule::Stage& stage) const {
  std::string text;
  for (const std::string& name : stage.sources)
    text += fmt::format("{}{} ({})", text.empty() ? "Source: " : "; ", name,
                        schedule::name(schedule_.find_source(name)->standing));
  for (const schedule::Saying& saying : stage.says)
    text += fmt::format("{}{} says {}", text.empty() ? "" : "; ", saying.source,
                        both_systems(saying.figure.nominal, style_));
  if (!text.empty()) block.put("p", text, "source", 12, false);
}

std::string SheetStages::rows(std::span<const Step> steps, bool alike, std::size_t first) const {
  const Step& front = steps.front();
  const std::string value = value_head(front, plan_.written_in());
  std::string out = "<table>\n<thead><tr><th scope=\"col\">turn</th><th scope=\"col\">bolt</th>";
  if (!alike) out += "<th scope=\"col\">figure</th>";
  out += "<th scope=\"col\">done</th>";
  if (!value.empty()) out += "<th scope=\"col\">" + escaped(value) + "</th>";
  if (front.final_torque)
    out += "<th scope=\"col\">final torque, " + escaped(front.final_torque->high.unit().spelling) + "</th>";
  out += "</tr></thead>\n<tbody>\n";
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const Step& step = steps[i];
    const std::string& group = bolts_.at(*step.bolt)->group;
    out += fmt::format("<tr><td class=\"turn\">{}</td><th scope=\"row\" class=\"bolt{}\">", first + i,
                       is_long(*step.bolt) ? " long" : "");
    append_escaped(out, shortened(*step.bolt, kMostId));
    if (!group.empty()) out += "<small>" + escaped(shortened(group, kMostId)) + "</small>";
    out += "</th>";
    if (!alike) {
      std::string figure = step.low && step.high ? both_systems(*step.low, *step.high, style_) : step.text;
      if (const std::string setting = setting_text(step, listed_.at(step.stage)->tool, style_);
          !setting.empty())
        figure += "; " + setting;
      out += "<td class=\"figure\">" + escaped(figure) + "</td>";
    }
    out += fmt::format("<td class=\"box\">{}</td>", kBox);
    if (!value.empty()) out += "<td class=\"value\"></td>";
    if (step.final_torque) out += "<td class=\"value\"></td>";
    out += "</tr>\n";
  }
  return out + "</tbody>\n</table>\n";
}

void SheetStages::spread(Paper& paper, std::span<const Step> steps, const Spread& how, Block top,
                         const std::function<std::string(std::span<const Step>, std::size_t)>& rows_of) {
  if (top.height() + kAroundTable + how.row > paper.capacity()) paper.add(std::exchange(top, {}));
  for (std::size_t done = 0; done < steps.size();) {
    const std::size_t columns = how.halves ? 2 : 1, rest = steps.size() - done;
    const std::size_t rows = (rest + columns - 1) / columns;
    const auto needed = static_cast<double>(rows);
    const double around = top.height() + kAroundTable;
    const double fit = std::floor((paper.left() - around) / how.row);
    // A stage stands on one page where one page can hold it; else no table begins with less than three rows
    // at the foot of a page.
    const bool fits_alone = around + needed * how.row <= paper.capacity();
    if (fit < (fits_alone ? needed : std::min(needed, 3.0)) && !paper.fresh()) {
      paper.turn_page();
      continue;
    }
    const auto taken = static_cast<std::size_t>(std::max(1.0, std::min(needed, fit)));
    const std::span<const Step> here = steps.subspan(done, std::min(rest, taken * columns));
    const std::size_t left = how.halves ? (here.size() + 1) / 2 : here.size();
    std::string html = how.halves ? "<div class=\"halves\">\n" : "<div class=\"whole\">\n";
    html += rows_of(here.first(left), done + 1);
    if (left < here.size()) html += rows_of(here.subspan(left), done + left + 1);
    top.put_markup(html + "</div>\n", kAroundTable + static_cast<double>(taken) * how.row);
    paper.add(top);
    done += here.size();
    top = {};
    top.put("h2", how.continued, "", 19.2, true);
  }
}

void SheetStages::table(Paper& paper, std::span<const Step> steps, bool alike, Block top) const {
  Spread how{alike && steps.size() > kOneColumn, alike ? kRow : 15.0,
             shortened(heading(steps), 60) + ", continued"};
  for (const Step& step : steps)
    how.row = std::max(how.row, row_height(*step.bolt, !bolts_.at(*step.bolt)->group.empty()));
  spread(paper, steps, how, std::move(top),
         [&](std::span<const Step> here, std::size_t first) { return rows(here, alike, first); });
}

namespace {

std::string gate_value(const Step& step) {
  std::string out(schedule::row(step.kind).sheet_blank);
  if (const auto& bound = step.high ? step.high : step.low)
    out += fmt::format(", {}", bound->unit().spelling);
  return out;
}

std::string gate_rows(std::span<const Step> steps, const std::string& value) {
  std::string out = "<table>\n<thead><tr><th scope=\"col\">at</th><th scope=\"col\">done</th>";
  if (!value.empty()) out += "<th scope=\"col\">" + escaped(value) + "</th>";
  out += "</tr></thead>\n<tbody>\n";
  for (const Step& step : steps) {
    out += fmt::format("<tr><th scope=\"row\" class=\"bolt{}\">{}</th><td class=\"box\">{}</td>",
                       is_long(*step.label) ? " long" : "", escaped(shortened(*step.label, kMostId)), kBox);
    out += value.empty() ? "</tr>\n" : "<td class=\"value\"></td></tr>\n";
  }
  return out + "</tbody>\n</table>\n";
}

}  // namespace

void SheetStages::gate(Paper& paper, std::span<const Step> steps) const {
  const Step& front = steps.front();
  const schedule::Stage& stage = *stages_.at(front.stage);
  const std::string heading = fmt::format("Stage {}: {}{}", front.stage, schedule::name(front.kind),
                                          stage.name.empty() ? "" : fmt::format(", “{}”", stage.name));
  const std::string value = gate_value(front);
  std::string_view text = front.text;
  if (front.label) text.remove_prefix(front.label->size() + 2);
  if (const std::string kind = fmt::format("{}: ", schedule::name(front.kind)); text.starts_with(kind))
    text.remove_prefix(kind.size());
  Block top;
  top.put("h2", heading, "", 19.2, true);
  top.put("p", text, "gate", 19.2, true);
  origins(top, stage);
  if (front.label) {
    Spread how{steps.size() > 1, kRow, shortened(heading, 60) + ", continued"};
    for (const Step& step : steps) how.row = std::max(how.row, row_height(*step.label, false));
    spread(paper, steps, how, std::move(top),
           [&](std::span<const Step> here, std::size_t) { return gate_rows(here, value); });
    return;
  }
  std::string write = fmt::format("<p class=\"write\"><span>done {}</span>", kBox);
  if (!value.empty()) write += "<span>" + escaped(value) + " <span class=\"blank\">&#160;</span></span>";
  top.put_markup(write + "</p>\n", 15);
  paper.add(top);
}

}  // namespace clampbook::report
