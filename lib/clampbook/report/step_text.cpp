#include <clampbook/report/step_text.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <unordered_set>

namespace clampbook::report {

using plan::Step;
using schedule::StageKind;

namespace {

// Where the far end of the turn is, by the hours of a clock face that begins at 12.
std::string on_a_clock(double degrees, bool left_hand) {
  const double hours = std::fmod(degrees / 30, 12);
  const int whole = static_cast<int>(std::floor(hours + 1e-9));
  const auto named = [&](int hour) {
    const int h = ((left_hand ? -hour : hour) % 12 + 12) % 12;
    return h == 0 ? 12 : h;
  };
  const int whole_turns = static_cast<int>(degrees / 360 + 1e-9);
  const std::string turns =
      whole_turns > 0 ? fmt::format("{} {} and then ", whole_turns, whole_turns == 1 ? "turn" : "turns") : "";
  if (std::fabs(hours - std::round(hours)) < 1e-6)
    return fmt::format("{}from 12 to {} on a clock face", turns, named(static_cast<int>(std::lround(hours))));
  return fmt::format("{}from 12 to between {} and {} on a clock face", turns, named(whole), named(whole + 1));
}

}  // namespace

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

namespace {

// Ids of the bolts with left-hand threads.
std::unordered_set<std::string_view> left_handed(const plan::Plan& plan) {
  std::unordered_set<std::string_view> fasteners, out;
  for (const plan::PlanFastener& f : plan.fasteners)
    if (f.left_hand) fasteners.insert(f.name);
  if (fasteners.empty()) return out;
  for (const plan::PlanBolt& bolt : plan.bolts)
    if (fasteners.contains(bolt.fastener)) out.insert(bolt.id);
  return out;
}

}  // namespace

std::string direction_text(const plan::Plan& plan, std::span<const Step> steps) {
  constexpr std::size_t kMostNamed = 24;
  const std::unordered_set<std::string_view> left = left_handed(plan);
  if (left.empty()) return {};
  std::vector<std::string> names;
  std::size_t bolts = 0;
  for (const Step& step : steps) {
    if (!step.bolt) continue;
    ++bolts;
    if (left.contains(*step.bolt)) names.push_back(text::printable(*step.bolt));
  }
  if (names.empty()) return {};
  const bool loosens = steps.front().kind == StageKind::loosen;
  const std::string_view verb = loosens ? "loosen" : "tighten",
                         this_way = loosens ? "clockwise" : "anticlockwise",
                         other_way = loosens ? "anticlockwise" : "clockwise";
  if (names.size() == bolts) return fmt::format("left-hand thread: {} {}", verb, this_way);
  const std::size_t more = names.size() > kMostNamed ? names.size() - kMostNamed : 0;
  names.resize(names.size() - more);
  return fmt::format("bolt{} {}{}: left-hand thread, {} {}; the others {}", names.size() == 1 ? "" : "s",
                     fmt::join(names, ", "), more > 0 ? fmt::format(" and {} more", more) : "", verb,
                     this_way, other_way);
}

std::optional<bool> left_hand_alike(const plan::Plan& plan, std::span<const Step> steps) {
  const std::unordered_set<std::string_view> left = left_handed(plan);
  const auto is_left = [&](const Step& step) { return step.bolt && left.contains(*step.bolt); };
  if (std::none_of(steps.begin(), steps.end(), is_left)) return false;
  return std::all_of(steps.begin(), steps.end(), is_left) ? std::optional(true) : std::nullopt;
}

std::string flats_text(const Step& step, std::optional<bool> left_hand) {
  if (step.kind != StageKind::angle || !step.target) return {};
  const double degrees = step.target->in(units::degree_unit());
  const std::string count = units::format_number(degrees / 60);
  const std::string way = left_hand ? ": " + on_a_clock(degrees, *left_hand) : std::string();
  return fmt::format("that is {} {} of a hexagon, {} of a turn{}", count, count == "1" ? "flat" : "flats",
                     units::format_number(degrees / 360), way);
}

std::string setting_text(const Step& step, const std::optional<plan::StageTool>& tool,
                         const TextStyle& style) {
  if (!step.setting) return {};
  const bool adapter = tool && !tool->adapter.empty();
  const bool scale = step.target && &step.setting->unit() != &step.target->unit();
  if (!step.prevailing && !adapter && !scale) return {};
  // A scale shows one unit: that one comes first, whatever the reader prefers.
  std::string out =
      "set the wrench to " + (scale ? units::format(*step.setting) : both_systems(*step.setting, style));
  if (step.prevailing)
    out += fmt::format(": {} more for the prevailing torque", both_systems(*step.prevailing, style));
  if (adapter) out += (step.prevailing ? "; " : ": ") + text::printable(tool->adapter);
  return out;
}

std::string final_torque_text(const Step& step, const TextStyle& style) {
  const std::string more = step.prevailing ? fmt::format(", and {} more on the wrench for the lock nut",
                                                         both_systems(*step.prevailing, style))
                                           : std::string();
  return fmt::format("final torque {}{}",
                     both_systems(step.final_torque->low, step.final_torque->high, style), more);
}

std::string lock_nuts_text(std::span<const Step> steps, const TextStyle& style) {
  constexpr std::size_t kMostNamed = 24;
  const auto share = [](const Step& s) { return s.prevailing ? s.prevailing->si() : 0.0; };
  if (!steps.front().final_torque || std::all_of(steps.begin(), steps.end(), [&](const Step& s) {
        return share(s) == share(steps.front());
      }))
    return {};
  std::vector<std::string> names;
  for (const Step& step : steps)
    if (step.bolt && step.prevailing && names.size() <= kMostNamed)
      names.push_back(names.size() == kMostNamed ? std::string("and so on")
                                                 : fmt::format("bolt {}: {}", text::printable(*step.bolt),
                                                               both_systems(*step.prevailing, style)));
  return fmt::format("at the end, more on the wrench for the lock nut: {}", fmt::join(names, ", "));
}

std::vector<std::string> figure_lines(const Step& step, const std::optional<plan::StageTool>& tool,
                                      std::optional<bool> left_hand, const TextStyle& style) {
  std::vector<std::string> out;
  if (step.target && step.low && step.high) {
    out.push_back(fmt::format("{}, window {}{}", both_systems(*step.target, style),
                              both_systems(*step.low, *step.high, style),
                              step.assumed ? ", an assumed tolerance" : ""));
  } else if (step.target && step.target->dimension() != units::Dimension::ratio) {
    out.push_back(both_systems(*step.target, style));
  }
  if (std::string flats = flats_text(step, left_hand); !flats.empty()) out.push_back(std::move(flats));
  if (tool) out.push_back(fmt::format("tool: {}", text::printable(tool->text)));
  if (std::string setting = setting_text(step, tool, style); !setting.empty())
    out.push_back(std::move(setting));
  if (step.final_torque) out.push_back(final_torque_text(step, style));
  return out;
}

}  // namespace clampbook::report
