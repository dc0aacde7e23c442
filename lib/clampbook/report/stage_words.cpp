#include <clampbook/report/stage_words.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using plan::Step;

std::vector<std::span<const Step>> stage_runs(const plan::Plan& plan) {
  const std::vector<Step>& steps = plan.steps;
  std::vector<std::span<const Step>> out;
  for (std::size_t from = 0; from < steps.size();) {
    std::size_t to = from + 1;
    while (to < steps.size() && steps[to].stage == steps[from].stage) ++to;
    out.push_back(std::span(steps).subspan(from, to - from));
    from = to;
  }
  return out;
}

bool same_figures(std::span<const Step> steps) {
  const auto equal = [](const std::optional<units::Measured>& a, const std::optional<units::Measured>& b) {
    return a.has_value() == b.has_value() && (!a || a->si() == b->si());
  };
  return std::all_of(steps.begin(), steps.end(), [&](const Step& s) {
    return equal(s.target, steps.front().target) && equal(s.low, steps.front().low) &&
           equal(s.high, steps.front().high) && equal(s.setting, steps.front().setting);
  });
}

std::string flats_text(const units::Measured& angle) {
  const double flats = angle.in(units::degree_unit()) / 60;
  const std::string count = units::format_number(flats);
  return fmt::format("{} {} of a hexagon, {} of a turn", count, count == "1" ? "flat" : "flats",
                     units::format_number(flats / 6));
}

std::string setting_text(const Step& step, const std::optional<plan::StageTool>& tool,
                         const TextStyle& style) {
  const bool adapter = step.setting && tool && !tool->adapter.empty();
  if (!step.prevailing && !adapter) return {};
  std::string out = fmt::format("set the wrench to {}: ", both_systems(*step.setting, style));
  if (step.prevailing)
    out += fmt::format("{} more for the prevailing torque", both_systems(*step.prevailing, style));
  if (adapter) out += (step.prevailing ? "; " : "") + text::printable(tool->adapter);
  return out;
}

std::string_view yield_caution() {
  return "This stage may take the bolt to its yield point: eye protection on, one steady braced pull. Stop "
         "if "
         "the torque falls, stays flat early, jerks or squeals. If you overturn or lose count, do not back "
         "off "
         "to the number.";
}

}  // namespace clampbook::report
