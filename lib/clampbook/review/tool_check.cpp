#include <clampbook/joint/wrench.h>
#include <clampbook/plan/tools.h>
#include <clampbook/review/judge.h>
#include <clampbook/review/tool_check.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <chrono>

namespace clampbook::review {

using units::Dimension;

namespace {

// The day on the wall when the reading was taken.
std::chrono::sys_days day_of(record::Timestamp at) {
  return std::chrono::floor<std::chrono::days>(std::chrono::sys_time<std::chrono::milliseconds>(
      std::chrono::milliseconds(at.milliseconds + std::int64_t{at.offset_minutes} * 60'000)));
}

std::string date(const std::chrono::year_month_day& d) {
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(d.year()), static_cast<unsigned>(d.month()),
                     static_cast<unsigned>(d.day()));
}

class Judge {
 public:
  Judge(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out)
      : pass_(pass), step_(step), entry_(entry), out_(out) {}

  void wrench(const schedule::TorqueWrench& tool) {
    stale(tool.name, tool.calibration);
    const std::optional<Measured> torque = torque_read();
    if (!torque) return;
    const Measured shown(
        units::value_in(plan::setting_of(tool, units::to<joint::Torque>(*torque)), units::newton_metre),
        units::newton_metre_unit());
    if (shown.si() < tool.range.low.si() * (1 - 1e-9) || shown.si() > tool.range.high.si() * (1 + 1e-9))
      add("out-of-range-tool",
          fmt::format("{}: {} was read with {}, whose range is {}", place_of(pass_, step_),
                      units::format(shown), tool.name,
                      units::format_range(tool.range.low, tool.range.high, tool.range.high.unit())),
          "outside its range a tool shows anything: read it again with one that fits");
    coarse(tool.name, Measured(torque->number() * tool.accuracy.si(), torque->unit()));
  }

  void gauge(const schedule::Gauge& tool) {
    stale(tool.name, tool.calibration);
    if (entry_.value && entry_.value->dimension() == tool.accuracy.dimension())
      coarse(tool.name, tool.accuracy);
  }

 private:
  [[nodiscard]] std::optional<Measured> torque_read() const {
    for (const auto* q : {&entry_.value, &entry_.also})
      if (*q && (*q)->dimension() == Dimension::torque) return **q;
    return std::nullopt;
  }

  void stale(const std::string& name, const schedule::Calibration& calibration) {
    if (!calibration.due || day_of(entry_.at) <= std::chrono::sys_days(*calibration.due)) return;
    add("stale-tool",
        fmt::format("{}: read with {}, whose calibration was due on {}", place_of(pass_, step_), name,
                    date(*calibration.due)),
        "have it calibrated, and look at what it was used for since");
  }

  void coarse(const std::string& name, const Measured& limit) {
    if (!step_.low || !step_.high || step_.high->dimension() != limit.dimension()) return;
    const double third = (step_.high->si() - step_.low->si()) / 3;
    if (limit.si() <= third * (1 + 1e-9)) return;
    const units::Unit& unit = step_.high->unit();
    add("tool-coarse",
        fmt::format("{}: {} may be off by {}, more than a third of the window {}", place_of(pass_, step_),
                    name, units::format(limit, unit), units::format_range(*step_.low, *step_.high, unit)),
        "use a finer tool, or widen the window if its source allows it");
  }

  void add(std::string slug, std::string text, std::string remedy) {
    out_.push_back(about(std::move(slug), pass_, step_, &entry_, std::move(text), std::move(remedy)));
    out_.back().severity = Severity::warning;
  }

  const Pass& pass_;
  const Step& step_;
  const Entry& entry_;
  std::vector<Finding>& out_;
};

template <class Tool>
const Tool* find(const std::vector<Tool>& tools, const std::string& name) {
  const auto found = std::find_if(tools.begin(), tools.end(), [&](const Tool& t) { return t.name == name; });
  return found == tools.end() ? nullptr : &*found;
}

}  // namespace

void judge_tool(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out) {
  if (entry.tool.empty() || !pass.tools) return;
  Judge judge(pass, step, entry, out);
  if (const auto* wrench = find(pass.tools->torque_wrenches, entry.tool)) judge.wrench(*wrench);
  for (const auto* gauges : {&pass.tools->angle_gauges, &pass.tools->length_gauges})
    if (const auto* gauge = find(*gauges, entry.tool)) judge.gauge(*gauge);
}

namespace {

std::optional<std::string> overdue(const std::string& name, const schedule::Calibration& calibration,
                                   record::Timestamp now) {
  if (!calibration.due || day_of(now) <= std::chrono::sys_days(*calibration.due)) return std::nullopt;
  return fmt::format("{}: its calibration was due on {}", name, date(*calibration.due));
}

std::optional<std::string> too_coarse(const std::string& name, const Step& step, const Measured& limit) {
  if (!step.low || !step.high || step.high->dimension() != limit.dimension()) return std::nullopt;
  if (limit.si() <= (step.high->si() - step.low->si()) / 3 * (1 + 1e-9)) return std::nullopt;
  const units::Unit& unit = step.high->unit();
  return fmt::format("{} may be off by {}, more than a third of the window {}", name,
                     units::format(limit, unit), units::format_range(*step.low, *step.high, unit));
}

}  // namespace

std::vector<std::string> tool_warnings(const Pass& pass, const Step& step, const std::string& tool,
                                       record::Timestamp now) {
  std::vector<std::string> out;
  const auto say = [&](std::optional<std::string> warning) {
    if (warning) out.push_back(*std::move(warning));
  };
  if (!pass.tools) return out;
  if (const auto* wrench = find(pass.tools->torque_wrenches, tool)) {
    say(overdue(tool, wrench->calibration, now));
    if (!step.target || step.target->dimension() != Dimension::torque) return out;
    joint::Torque torque = units::to<joint::Torque>(*step.target);
    if (step.prevailing) torque += units::to<joint::Torque>(*step.prevailing);
    const Measured setting(units::value_in(plan::setting_of(*wrench, torque), units::newton_metre),
                           units::newton_metre_unit());
    if (setting.si() < wrench->range.low.si() * (1 - 1e-9) ||
        setting.si() > wrench->range.high.si() * (1 + 1e-9))
      out.push_back(
          fmt::format("{} can't be set to {}: its range is {}", tool, units::format(setting),
                      units::format_range(wrench->range.low, wrench->range.high, wrench->range.high.unit())));
    say(too_coarse(tool, step,
                   Measured(units::value_in(torque, units::newton_metre) * wrench->accuracy.si(),
                            units::newton_metre_unit())));
  }
  for (const auto* gauges : {&pass.tools->angle_gauges, &pass.tools->length_gauges})
    if (const auto* gauge = find(*gauges, tool)) {
      say(overdue(tool, gauge->calibration, now));
      say(too_coarse(tool, step, gauge->accuracy));
    }
  return out;
}

}  // namespace clampbook::review
