#include <clampbook/plan/plan_json.h>
#include <clampbook/report/build_report.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

namespace clampbook::report {

using plan::Plan;
using schedule::Operation;
using text::Json;
using text::printable;

namespace {

std::string names(const std::vector<std::string>& list, std::string_view quote = "") {
  std::string out;
  for (const std::string& name : list)
    out += fmt::format("{}{}{}{}", out.empty() ? "" : ", ", quote, printable(name), quote);
  return out;
}

class Writer {
 public:
  explicit Writer(const TextStyle& style) : style_(style) {}

  void line(std::string_view text, std::size_t indent = 0) {
    out_ += wrapped(text, style_.width, indent, indent + 2) + "\n";
  }

  void head(const schedule::Build& build) {
    line(printable(build.title));
    if (!build.machine.empty()) line(printable(build.machine));
    if (!build.notice.empty()) line(printable(build.notice));
    out_ += "\n";
    out_ += standing_cautions(style_.width);
  }

  void operation(std::size_t number, const Operation& operation, const Plan& plan) {
    out_ += "\n";
    line(fmt::format("Operation {}: {}: {}", number, printable(operation.name),
                     operation.after.empty() ? "may be done now" : "must wait"));
    if (!operation.after.empty())
      line(fmt::format("to be finished first: {}", names(operation.after, "'")), 2);
    if (!operation.has_own_gates())
      line(fmt::format("schedule: {}, {}, {} {}", printable(operation.file), printable(plan.title),
                       plan.steps.size(), plan.steps.size() == 1 ? "step" : "steps"),
           2);
    if (!operation.only.empty())
      line(fmt::format("for these bolts alone: {}", names(operation.only_ids())), 2);
    if (!plan.notice.empty() && !operation.has_own_gates()) line(printable(plan.notice), 2);
    for (const plan::Caution& caution : plan.cautions)
      line(fmt::format("! {} [{}]", printable(caution.text), caution.slug), 2);
    if (operation.has_own_gates()) boxes(plan);
  }

  void boxes(const Plan& plan) {
    for (const plan::Step& step : plan.steps) {
      const std::string front = fmt::format("{} {:>4}  ", style_.ascii ? "[ ]" : "☐", step.step);
      const std::size_t indent = 2 + text::display_width(front);
      out_ += "  " + front + wrapped(printable(step.text), style_.width - indent, 0, indent) + "\n";
    }
  }

  std::string finish() {
    out_ += "\n";
    line(
        "clampbook begin BOOK BUILD --operation NAME starts one; clampbook plan FILE prints a schedule's "
        "checklist.");
    return std::move(out_);
  }

 private:
  const TextStyle& style_;
  std::string out_;
};

Json list_of(const std::vector<std::string>& words) {
  Json out = Json::array();
  for (const std::string& word : words) out.push(word);
  return out;
}

}  // namespace

std::string build_text(const schedule::Build& build, std::span<const Plan> plans, const TextStyle& style) {
  Writer writer(style);
  writer.head(build);
  std::size_t number = 0;
  for (const std::size_t i : build.in_order()) writer.operation(++number, build.operations[i], plans[i]);
  return writer.finish();
}

Json build_json(const schedule::Build& build, std::span<const Plan> plans) {
  Json operations = Json::array();
  for (const std::size_t i : build.in_order()) {
    const Operation& o = build.operations[i];
    Json steps = Json::array(), cautions = Json::array();
    for (const plan::Step& step : plans[i].steps) steps.push(plan::to_json(step));
    for (const plan::Caution& caution : plans[i].cautions) cautions.push(plan::to_json(caution));
    operations.push(Json::object()
                        .set("name", o.name)
                        .set("title", plans[i].title)
                        .set("schedule", o.has_own_gates() ? Json() : Json(o.file))
                        .set("after", list_of(o.after))
                        .set("only", o.only.empty() ? Json() : list_of(o.only_ids()))
                        .set("steps", std::move(steps))
                        .set("cautions", std::move(cautions)));
  }
  return Json::object()
      .set("title", build.title)
      .set("notice", build.notice.empty() ? Json() : Json(build.notice))
      .set("operations", std::move(operations));
}

}  // namespace clampbook::report
