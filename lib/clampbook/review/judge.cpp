#include <clampbook/plan/window.h>
#include <clampbook/review/judge.h>
#include <clampbook/text/number.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace clampbook::review {

using plan::Side;
using plan::StageKind;
using schedule::Window;
using units::Dimension;

namespace {

constexpr double kStill = 5;  // degrees that a rechecked bolt may still move

// "22.1 ft·lbf (30 N·m)", the second only when the window speaks another unit.
std::string shown(const Measured& value, const units::Unit& window_unit) {
  if (&value.unit() == &window_unit || value.dimension() != window_unit.dimension)
    return units::format(value);
  return fmt::format("{} ({})", units::format(value), units::format(value, window_unit));
}

std::string window_text(const std::optional<Measured>& low, const std::optional<Measured>& high) {
  if (low && high) return units::format_range(*low, *high, high->unit());
  if (low) return "at least " + units::format(*low);
  return "at most " + units::format(*high);
}

// The number as typed, read in another torque unit that would fit.
std::optional<Measured> slipped(const Measured& value, const Step& step) {
  if (value.dimension() != Dimension::torque) return std::nullopt;
  // Whoever wrote the window in inch-pounds has a wrench that shows them.
  const units::Unit& own = step.high ? step.high->unit() : step.low->unit();
  const units::Unit* small = &own == &units::inch_pound_unit() ? &own : &value.unit();
  for (const units::Unit* unit :
       {&units::newton_metre_unit(), &units::foot_pound_unit(), &units::kilogram_metre_unit(), small}) {
    if (unit == &value.unit()) continue;
    const Measured other(value.number(), *unit);
    if (plan::side(step, other) == Side::inside) return other;
  }
  return std::nullopt;
}

// The bolt's lowest later unfilled step of that dimension whose window holds the value.
const Step* fitting_step(const Progress& progress, const Step& step, const Measured& value) {
  const Pass& pass = progress.pass();
  for (const std::size_t position : pass.index.turning(*step.bolt)) {
    const Step& later = pass.plan.steps[position];
    if (later.step <= step.step || progress.filled(later.step)) continue;
    if (later.reading_dimension() != value.dimension() || !later.low || !later.high) continue;
    if (plan::side(later, value) == Side::inside) return &later;
  }
  return nullptr;
}

// What the bolt has been through since, as far as it decides whether it may still be pulled on: the first
// stage that turned it by something else than a torque, or loosened it; else a torque.
std::optional<StageKind> built_upon(const Progress& progress, const Step& step) {
  std::optional<StageKind> out;
  const Pass& pass = progress.pass();
  for (const std::size_t position : pass.index.turning(*step.bolt)) {
    const Step& later = pass.plan.steps[position];
    if (later.step <= step.step || !progress.filled(later.step)) continue;
    if (later.kind == StageKind::torque) out = later.kind;
    if (schedule::row(later.kind).turns_on || later.kind == StageKind::loosen) return later.kind;
  }
  return out;
}

void judge_value(const Progress& progress, const Step& step, const Entry& entry, std::vector<Finding>& out,
                 bool high_only) {
  if (!entry.value || entry.click || (!step.low && !step.high)) return;
  const Measured& value = *entry.value;
  const Side side = plan::side(step, value);
  if (side == Side::inside) return;
  const units::Unit& unit = step.high ? step.high->unit() : step.low->unit();
  const Pass& pass = progress.pass();
  const bool is_high = side == Side::above;
  if (high_only && !is_high) return;
  const std::string prevailing =
      step.prevailing && value.dimension() == Dimension::torque
          ? fmt::format(", of which {} turn the lock nut,", units::format(*step.prevailing))
          : "";
  const std::string what =
      fmt::format("{}: {}{} is {} the window {}", place_of(pass, step), shown(value, unit), prevailing,
                  is_high ? "above" : "below", window_text(step.low, step.high));
  const auto slip = slipped(value, step);
  if (slip && !high_only) {
    out.push_back(about(
        "unit-slip", pass, step, &entry,
        fmt::format("{}. If the unit is right, {} was applied; if it slipped, {} was, which is in the window",
                    what, units::format(value), shown(*slip, unit)),
        remedy_for("unit-slip", step, &entry)));
    return;
  }
  const char* slug = is_high ? "high" : "low";
  Finding finding =
      about(slug, pass, step, &entry, what, remedy_for(slug, step, &entry, built_upon(progress, step)));
  if (const Step* fits = fitting_step(progress, step, value)) {
    finding.fits_step = fits->step;
    finding.text += fmt::format("; it would fit step {} ({})", fits->step, place_of(pass, *fits));
  }
  out.push_back(std::move(finding));
}

void judge_final_torque(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out) {
  if (!step.final_torque) return;
  const std::optional<Measured>& read = step.kind == StageKind::yield ? entry.value : entry.also;
  const Window& window = *step.final_torque;
  const std::string range = units::format_range(window.low, window.high, window.high.unit());
  if (!read || read->dimension() != Dimension::torque) {
    out.push_back(
        about("final-torque-out", pass, step, &entry,
              fmt::format("{}: the final torque was not read; {} is asked for", place_of(pass, step), range),
              "read it with a checking pull if the bolt is not past yield; else accept it with the reason "
              "why it was not read"));
    return;
  }
  if (plan::inside(step.tightening_part(*read), window.low, window.high)) return;
  out.push_back(about(
      "final-torque-out", pass, step, &entry,
      fmt::format(
          "{}: the final torque {}{} is outside {}", place_of(pass, step), shown(*read, window.high.unit()),
          step.prevailing ? fmt::format(", of which {} turn the lock nut,", units::format(*step.prevailing))
                          : std::string(),
          range),
      remedy_for("final-torque-out", step)));
}

// Of a joint that still settles: its last round is not the last (common practice for gaskets).
void judge_movement(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out) {
  if (step.kind != StageKind::recheck || !entry.also || entry.also->dimension() != Dimension::angle) return;
  if (plan::inside(*entry.also, std::nullopt, Measured(kStill, units::degree_unit()))) return;
  out.push_back(about("still-moving", pass, step, &entry,
                      fmt::format("{}: it moved on by {}, more than {}°", place_of(pass, step),
                                  units::format(*entry.also), units::format_number(kStill)),
                      remedy_for("still-moving", step)));
  out.back().severity = Severity::warning;
}

void judge_gate(const Pass& pass, const Step& step, const Entry& entry, std::vector<Finding>& out) {
  if (step.kind == StageKind::count && entry.count && step.expect &&
      *entry.count != static_cast<double>(*step.expect))
    out.push_back(about("count-short", pass, step, &entry,
                        fmt::format("{}: {} counted, {} expected", place_of(pass, step),
                                    text::shortest(*entry.count), *step.expect),
                        remedy_for("count-short", step)));
  if (step.kind == StageKind::measure && entry.value && (step.low || step.high) &&
      !plan::inside(*entry.value, step.low, step.high)) {
    const units::Unit& unit = step.high ? step.high->unit() : step.low->unit();
    out.push_back(about("measure-out", pass, step, &entry,
                        fmt::format("{}: {} {} {}", place_of(pass, step), shown(*entry.value, unit),
                                    step.low && step.high ? "is outside" : "was read, and it has to be",
                                    window_text(step.low, step.high)),
                        remedy_for("measure-out", step)));
  }
}

}  // namespace

std::string place_of(const Pass& pass, const Step& step) {
  std::string out = fmt::format("stage {}", step.stage);
  for (const plan::PlanStage& stage : pass.plan.stages)
    if (stage.stage == step.stage) out += fmt::format(" ({})", stage.name ? *stage.name : stage.text);
  if (step.bolt) out += ", bolt " + *step.bolt;
  if (step.label) out += ", " + *step.label;
  return out;
}

Finding about(std::string slug, const Pass& pass, const Step& step, const Entry* entry, std::string text,
              std::string remedy) {
  Finding f;
  f.slug = std::move(slug);
  f.pass = pass.number;
  f.stage = step.stage;
  f.step = step.step;
  f.bolt = step.bolt;
  if (entry != nullptr) f.seq = entry->seq;
  f.text = std::move(text);
  f.remedy = std::move(remedy);
  return f;
}

void judge_entry(const Progress& progress, const Step& step, const Entry& entry, std::vector<Finding>& out) {
  const Pass& pass = progress.pass();
  if (step.is_gate()) {
    judge_gate(pass, step, entry, out);
    return;
  }
  if (entry.no_turn && step.kind != StageKind::recheck)
    out.push_back(
        about("no-movement", pass, step, &entry,
              fmt::format("{}: the wrench reached {} without turning the bolt", place_of(pass, step),
                          entry.value ? units::format(*entry.value) : "its setting"),
              remedy_for("no-movement", step)));
  judge_value(progress, step, entry, out, false);
  judge_final_torque(pass, step, entry, out);
  judge_movement(pass, step, entry, out);
}

void judge_replaced(const Progress& progress, const Step& step, const Entry& entry,
                    std::vector<Finding>& out) {
  if (!step.is_gate()) judge_value(progress, step, entry, out, true);
}

}  // namespace clampbook::review
