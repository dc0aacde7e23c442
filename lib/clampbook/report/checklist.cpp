#include <clampbook/report/checklist.h>
#include <clampbook/report/picture.h>
#include <clampbook/report/step_text.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <span>

namespace clampbook::report {

using plan::Plan;
using plan::Step;
using schedule::Stage;
using text::printable;

namespace {

class Writer {
 public:
  Writer(const schedule::Schedule& schedule, const Plan& plan, const TextStyle& style)
      : schedule_(schedule), plan_(plan), style_(style) {}

  std::string write() {
    head();
    cautions();
    out_ += "\n" + bolt_picture(plan_, style_);
    for (const std::span<const Step> steps : stage_runs(plan_)) stage(steps);
    return std::move(out_);
  }

 private:
  // A paragraph whose later lines hang by two.
  void line(std::string_view text, std::size_t indent = 0) {
    out_ += wrapped(text, style_.width, indent, indent + 2) + "\n";
  }

  void head() {
    line(printable(plan_.title));
    if (!plan_.machine.empty()) line(printable(plan_.machine));
    if (!plan_.notice.empty()) line(printable(plan_.notice));
    out_ += "\n";
    out_ += standing_cautions(style_.width);
  }

  void cautions() {
    if (plan_.cautions.empty()) return;
    out_ += "\nCautions\n";
    for (const plan::Caution& caution : plan_.cautions)
      line(fmt::format("! {} [{}]", printable(caution.text), caution.slug));
  }

  [[nodiscard]] const Stage& stage_of(int number) const {
    return *std::find_if(schedule_.stages.begin(), schedule_.stages.end(),
                         [&](const Stage& s) { return s.number == number; });
  }

  void stage(std::span<const Step> steps) {
    const Stage& stage = stage_of(steps.front().stage);
    std::string heading =
        fmt::format("Stage {}: {}", stage.number, printable(listed_stage(stage.number).text));
    if (!stage.name.empty()) heading += fmt::format(", \"{}\"", printable(stage.name));
    if (!stage.bolts_given.empty()) heading += fmt::format(", bolts {}", printable(stage.bolts_given));
    if (schedule_.by == schedule::Completion::group && steps.front().bolt)
      heading += ", " + printable(group_of(*steps.front().bolt));
    out_ += "\n";
    line(heading);
    const bool alike = same_figures(steps);
    if (!steps.front().is_gate()) alike ? figures(steps) : tool(stage.number);
    if (const std::string way = direction_text(plan_, steps); !way.empty()) line("! " + way, 2);
    origins(stage);
    if (std::any_of(steps.begin(), steps.end(), [](const Step& s) { return s.pulls_to_yield(); }))
      before_turning();
    boxes(steps, alike);
  }

  [[nodiscard]] const std::string& group_of(const std::string& id) const {
    return std::find_if(plan_.bolts.begin(), plan_.bolts.end(),
                        [&](const plan::PlanBolt& b) { return b.id == id; })
        ->group;
  }

  void figures(std::span<const Step> steps) {
    Step step = steps.front();
    const std::string lock_nuts = lock_nuts_text(steps, style_);
    if (!lock_nuts.empty()) step.prevailing.reset();
    for (const std::string& text :
         figure_lines(step, listed_stage(step.stage).tool, left_hand_alike(plan_, steps), style_))
      line(text, 2);
    if (!lock_nuts.empty()) line(lock_nuts, 2);
  }

  [[nodiscard]] const plan::PlanStage& listed_stage(int number) const {
    return *std::find_if(plan_.stages.begin(), plan_.stages.end(),
                         [&](const plan::PlanStage& s) { return s.stage == number; });
  }

  void tool(int stage) {
    if (const auto& tool = listed_stage(stage).tool) line(fmt::format("tool: {}", printable(tool->text)), 2);
  }

  void origins(const Stage& stage) {
    for (const std::string& name : stage.sources) {
      const schedule::SourceNote* note = schedule_.find_source(name);
      line(fmt::format("source: {} ({})", printable(note->text), schedule::name(note->standing)), 2);
    }
    for (const schedule::Saying& saying : stage.says)
      line(fmt::format("{} says {}", printable(saying.source), both_systems(saying.figure.nominal, style_)),
           2);
  }

  void before_turning() { line(fmt::format("! {}", text::kYieldCaution), 2); }

  // A box for each step: several to a line when only the bolt or the label differs, else with its own text.
  void boxes(std::span<const Step> steps, bool alike) {
    const std::string box = style_.ascii ? "[ ]" : "☐";
    const auto named = [](const Step& step) { return step.bolt || step.label; };
    if (!alike || !std::all_of(steps.begin(), steps.end(), named)) {
      for (const Step& step : steps) {
        const std::string front = fmt::format("{} {:>4}  ", box, step.step);
        const std::string setting =
            alike ? std::string() : setting_text(step, listed_stage(step.stage).tool, style_);
        const std::string text = printable(step.text) + (setting.empty() ? "" : "; " + setting);
        out_ +=
            "  " + front +
            wrapped(text, style_.width - 2 - text::display_width(front), 0, 2 + text::display_width(front)) +
            "\n";
      }
      return;
    }
    std::vector<std::string> cells;
    std::size_t widest = 0;
    for (const Step& step : steps) {
      cells.push_back(fmt::format("{} {:>4}  {}", box, step.step,
                                  step.bolt ? "bolt " + printable(*step.bolt) : printable(*step.label)));
      widest = std::max(widest, text::display_width(cells.back()));
    }
    const std::size_t columns = std::clamp<std::size_t>((style_.width - 2) / (widest + 3), 1, 5);
    for (std::size_t i = 0; i < cells.size(); ++i) {
      out_ += i % columns == 0 ? "  " : "   ";
      const bool last = i + 1 == cells.size() || (i + 1) % columns == 0;
      out_ += last ? cells[i] + "\n" : padded(cells[i], widest);
    }
  }

  const schedule::Schedule& schedule_;
  const Plan& plan_;
  const TextStyle& style_;
  std::string out_;
};

}  // namespace

std::string checklist(const schedule::Schedule& schedule, const Plan& plan, const TextStyle& style) {
  return Writer(schedule, plan, style).write();
}

}  // namespace clampbook::report
