#include <clampbook/joint/wrench.h>
#include <clampbook/plan/tools.h>
#include <clampbook/plan/window.h>
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

bool overdue(const schedule::Calibration& calibration, record::Timestamp at) {
  return calibration.due && day_of(at) > std::chrono::sys_days(*calibration.due);
}

// The torque that the wrench shows when the bolt gets this one.
Measured shown_by(const schedule::TorqueWrench& tool, joint::Torque torque) {
  return Measured(units::value_in(plan::setting_of(tool, torque), units::newton_metre),
                  units::newton_metre_unit())
      .converted_to(tool.range.high.unit());
}

bool in_range(const schedule::TorqueWrench& tool, const Measured& shown) {
  return plan::inside(shown, tool.range.low, tool.range.high);
}

std::string range_text(const schedule::TorqueWrench& tool) {
  return units::format_range(tool.range.low, tool.range.high, tool.range.high.unit());
}

// More than a third of the window (common practice).
std::optional<std::string> too_coarse(const std::string& name, const Step& step, const Measured& limit) {
  if (!step.low || !step.high || step.high->dimension() != limit.dimension()) return std::nullopt;
  if (limit.si() <= (step.high->si() - step.low->si()) / 3 * (1 + 1e-9)) return std::nullopt;
  const units::Unit& unit = step.high->unit();
  return fmt::format("{} may be off by {}, more than a third of the window {}", name,
                     units::format(limit, unit), units::format_range(*step.low, *step.high, unit));
}

class Judge {
 public:
  Judge(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out)
      : pass_(pass), step_(step), entry_(entry), out_(out) {}

  void wrench(const schedule::TorqueWrench& tool) {
    stale(tool.name, tool.calibration);
    const std::optional<Measured> torque = torque_read();
    if (!torque) return;
    joint::Torque applied = units::to<joint::Torque>(*torque);
    if (entry_.click && step_.prevailing) applied += units::to<joint::Torque>(*step_.prevailing);
    const Measured shown = shown_by(tool, applied);
    if (!in_range(tool, shown))
      add("out-of-range-tool",
          fmt::format("{}: {} was read with {}, whose range is {}", place_of(pass_, step_),
                      units::format(shown), tool.name, range_text(tool)),
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
    if (!overdue(calibration, entry_.at)) return;
    add("stale-tool",
        fmt::format("{}: read with {}, whose calibration was due on {}", place_of(pass_, step_), name,
                    date(*calibration.due)),
        "have it calibrated, and look at what it was used for since");
  }

  void coarse(const std::string& name, const Measured& limit) {
    if (const auto text = too_coarse(name, step_, limit))
      add("tool-coarse", fmt::format("{}: {}", place_of(pass_, step_), *text),
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

std::vector<std::string> tool_warnings(const Pass& pass, const Step& step, const std::string& tool,
                                       record::Timestamp now) {
  std::vector<std::string> out;
  if (!pass.tools) return out;
  const auto due = [&](const schedule::Calibration& calibration) {
    if (overdue(calibration, now))
      out.push_back(fmt::format("{}: its calibration was due on {}", tool, date(*calibration.due)));
  };
  const auto fine = [&](const Measured& limit) {
    if (auto text = too_coarse(tool, step, limit)) out.push_back(*std::move(text));
  };
  if (const auto* wrench = find(pass.tools->torque_wrenches, tool)) {
    due(wrench->calibration);
    if (!step.target || step.target->dimension() != Dimension::torque) return out;
    joint::Torque torque = units::to<joint::Torque>(*step.target);
    if (step.prevailing) torque += units::to<joint::Torque>(*step.prevailing);
    const Measured setting = shown_by(*wrench, torque);
    if (!in_range(*wrench, setting))
      out.push_back(fmt::format("{} can't be set to {}: its range is {}", tool, units::format(setting),
                                range_text(*wrench)));
    fine(Measured(units::value_in(torque, units::newton_metre) * wrench->accuracy.si(),
                  units::newton_metre_unit()));
  }
  for (const auto* gauges : {&pass.tools->angle_gauges, &pass.tools->length_gauges})
    if (const auto* gauge = find(*gauges, tool)) {
      due(gauge->calibration);
      fine(gauge->accuracy);
    }
  return out;
}

}  // namespace clampbook::review
