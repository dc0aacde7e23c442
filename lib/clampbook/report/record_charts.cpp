#include <clampbook/plan/window.h>
#include <clampbook/report/chart.h>
#include <clampbook/report/escape.h>
#include <clampbook/report/record_charts.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

namespace clampbook::report {

using plan::Side;
using plan::Step;
using units::Dimension;
using units::Measured;

namespace {

constexpr double kWidth = 720, kLeft = 58, kRight = 684;
constexpr std::size_t kMostLines = 40;  // names along the foot of a chart
constexpr std::size_t kMostNames = 22;  // in a column beside it

const units::Unit& shown_unit(const Measured& written, const TextStyle& style) {
  return style.system ? units::unit_in(*style.system, written) : written.unit();
}

struct Reading {
  const Step* step;
  std::optional<double> value;  // in the chart's unit; nothing when unread
  double low, high;
  Side side = Side::inside;
  [[nodiscard]] bool is_low() const { return side == Side::below; }
  [[nodiscard]] bool is_high() const { return side == Side::above; }
};

class Strip {
 public:
  Strip(const plan::PlanStage& stage, std::vector<Reading> readings, const units::Unit& unit)
      : stage_(stage),
        readings_(std::move(readings)),
        unit_(unit),
        y_(scale()),
        step_((kRight - kLeft) / static_cast<double>(readings_.size())) {}

  std::string draw(Setting setting, std::string_view notice) {
    Svg svg(kWidth, kHeight, title(), description(), setting, notice);
    draw_rows(svg, y_, kLeft, kRight, fmt::format("{}, {}", units::name(unit_.dimension), unit_.spelling), 4);
    windows(svg);
    marks(svg);
    names(svg);
    return std::move(svg).finish();
  }

 private:
  static constexpr double kHeight = 214, kTop = 26, kBottom = 176;

  [[nodiscard]] Scale scale() const {
    double least = std::numeric_limits<double>::infinity(), most = -least, wide = 0;
    for (const Reading& r : readings_) {
      least = std::min({least, r.low, r.value.value_or(r.low)});
      most = std::max({most, r.high, r.value.value_or(r.high)});
      wide = std::max(wide, r.high - r.low);
    }
    const double room = std::max(0.25 * wide, 0.04 * (most - least));
    return {least - room, most + room, kBottom, kTop};
  }

  [[nodiscard]] double at(std::size_t i) const { return kLeft + (static_cast<double>(i) + 0.5) * step_; }

  [[nodiscard]] std::string title() const {
    return fmt::format("Stage {}: {}, the readings in their window", stage_.stage, stage_.text);
  }

  [[nodiscard]] std::string description() const {
    std::size_t read = 0, low = 0, high = 0;
    double least = std::numeric_limits<double>::infinity(), most = -least;
    std::string outside;
    for (const Reading& r : readings_) {
      if (!r.value) continue;
      ++read;
      least = std::min(least, *r.value);
      most = std::max(most, *r.value);
      if (r.is_low()) ++low;
      if (r.is_high()) ++high;
      if ((r.is_low() || r.is_high()) && low + high <= 20)
        outside += fmt::format("{}{}", outside.empty() ? ": bolts " : ", ", *r.step->bolt);
    }
    return fmt::format("{} of {} read, from {} to {} {}; {} below, {} above the window{}.", read,
                       readings_.size(), units::significant(least, 4), units::significant(most, 4),
                       unit_.spelling, low, high, outside);
  }

  void windows(Svg& svg) const {
    for (std::size_t from = 0; from < readings_.size();) {
      std::size_t to = from + 1;
      while (to < readings_.size() && readings_[to].low == readings_[from].low &&
             readings_[to].high == readings_[from].high)
        ++to;
      const double x1 = at(from) - step_ / 2, x2 = at(to - 1) + step_ / 2;
      const double top = y_(readings_[from].high), bottom = y_(readings_[from].low);
      svg.rectangle(x1, top, x2 - x1, bottom - top, "band");
      svg.line(x1, top, x2, top, "edge");
      svg.line(x1, bottom, x2, bottom, "edge");
      from = to;
    }
  }

  // One path for each shape: a record of many bolts stays small.
  void marks(Svg& svg) const {
    const double r = std::clamp(step_ * 0.4, 1.5, 6.0);
    std::string inside, outside, open;
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      const Reading& reading = readings_[i];
      const double x = at(i);
      if (!reading.value) {
        open += "M" + coordinate(x - r) + " " + coordinate(kBottom - 4) + "h" + coordinate(2 * r);
        continue;
      }
      const double y = y_(*reading.value);
      if (reading.is_low() || reading.is_high()) {
        outside += triangle(x, y, 1.2 * r, reading.is_high());
      } else {
        inside += "M" + coordinate(x) + " " + coordinate(y) + "h0";
      }
    }
    if (!open.empty()) svg.path(open, "ink");
    if (!inside.empty()) svg.path(inside, r < 3 ? "dots small" : "dots");
    if (!outside.empty()) svg.path(outside, "bad");
  }

  void names(Svg& svg) const {
    const std::size_t every = (readings_.size() + kMostLines - 1) / kMostLines;
    for (std::size_t i = 0; i < readings_.size(); i += every)
      svg.text(at(i), kBottom + 18, shortened(*readings_[i].step->bolt, 5), 12, "", Anchor::middle);
    svg.text(kLeft, kHeight - 6, "bolts in the order in which they are turned", 12, "soft");
  }

  const plan::PlanStage& stage_;
  std::vector<Reading> readings_;
  const units::Unit& unit_;
  Scale y_;
  double step_;
};

}  // namespace

std::optional<Measured> judged_part(const Step& step, const review::Entry& entry) {
  const auto& bound = step.high ? step.high : step.low;
  if (!bound || !entry.value || entry.value->dimension() != bound->dimension()) return std::nullopt;
  const Measured value = entry.value->converted_to(bound->unit());
  return entry.click ? value : step.tightening_part(value);
}

std::string strip_chart(const review::Progress& progress, const plan::PlanStage& stage,
                        const std::vector<const Step*>& steps, const TextStyle& style, Setting setting) {
  std::vector<Reading> readings;
  const units::Unit* unit = nullptr;
  bool any = false;
  for (const Step* step : steps) {
    if (!step->bolt || !step->low || !step->high) continue;
    if (unit == nullptr) unit = &shown_unit(*step->high, style);
    Reading reading{step, {}, step->low->in(*unit), step->high->in(*unit)};
    if (const review::Entry* entry = progress.standing(step->step))
      if (const auto part = judged_part(*step, *entry)) {
        reading.value = part->in(*unit);
        reading.side = plan::side(*part, step->low, step->high);
      }
    any = any || reading.value;
    readings.push_back(reading);
  }
  if (!any) return {};
  return Strip(stage, std::move(readings), *unit).draw(setting, progress.pass().plan.notice);
}

namespace {

// Torque over the angle turned since the last torque stage, as it was read at the ends of the stages.
struct Path {
  std::string bolt;
  std::vector<std::pair<double, double>> points;  // degrees; the chart's torque unit
};

std::optional<Measured> torque_of(const review::Entry& entry) {
  for (const auto* q : {&entry.value, &entry.also})
    if (*q && (*q)->dimension() == Dimension::torque) return **q;
  return std::nullopt;
}
std::optional<Measured> angle_of(const review::Entry& entry) {
  for (const auto* q : {&entry.value, &entry.also})
    if (*q && (*q)->dimension() == Dimension::angle) return **q;
  return std::nullopt;
}

std::vector<Path> paths_of(const review::Progress& progress, const units::Unit*& unit,
                           const TextStyle& style) {
  const review::Pass& pass = progress.pass();
  std::vector<Path> out;
  for (const plan::PlanBolt& bolt : pass.plan.bolts) {
    Path path{bolt.id, {}};
    double turned = 0;
    bool together = false;
    for (const std::size_t position : pass.index.turning(bolt.id)) {
      const Step& step = pass.plan.steps[position];
      const review::Entry* entry = progress.standing(step.step);
      if (entry == nullptr) continue;
      auto torque = torque_of(*entry);
      if (torque && !entry->click)
        torque = step.tightening_part(*torque);  // the lock nut's share is in no click
      const auto angle = angle_of(*entry);
      if (torque && unit == nullptr) unit = &shown_unit(*torque, style);
      if (angle) turned += angle->in(units::degree_unit());
      if (torque && !angle) {  // the angle counts from here
        turned = 0;
        path.points.clear();
      }
      if (torque) path.points.emplace_back(turned, torque->in(*unit));
      together = together || (torque && angle);
    }
    if (together) out.push_back(std::move(path));
  }
  return out;
}

void draw_path(Svg& svg, const Path& path, const Scale& x, const Scale& y) {
  std::string line, dots;
  for (const auto& [angle, torque] : path.points) {
    const std::string at = coordinate(x(angle)) + " " + coordinate(y(torque));
    line += (line.empty() ? "M" : "L") + at;
    dots += "M" + at + "h0";
  }
  svg.open(fmt::format("bolt {}", path.bolt));
  svg.path(line, "accent");
  svg.path(dots, "dots");
  svg.close();
}

// The bolts' names behind their last readings, in one column so that none hides another.
void name_paths(Svg& svg, std::vector<Path> paths, const Scale& y, double bottom) {
  constexpr double kStep = 13;
  std::stable_sort(paths.begin(), paths.end(), [](const Path& a, const Path& b) {
    return a.points.back().second > b.points.back().second;
  });
  std::vector<double> places;
  for (const Path& path : paths)
    places.push_back(std::max(y(path.points.back().second), places.empty() ? 0.0 : places.back() + kStep));
  for (std::size_t i = places.size(); i-- > 0;)
    places[i] = std::min(places[i], i + 1 < places.size() ? places[i + 1] - kStep : bottom);
  for (std::size_t i = 0; i < paths.size(); ++i)
    svg.text(kRight + 4, places[i] + 4, shortened(paths[i].bolt, 4), 12);
}

}  // namespace

std::string torque_angle_chart(const review::Progress& progress, const TextStyle& style, Setting setting) {
  const units::Unit* unit = nullptr;
  const std::vector<Path> paths = paths_of(progress, unit, style);
  if (paths.empty() || unit == nullptr) return {};
  double farthest = 0, highest = 0;
  for (const Path& path : paths)
    for (const auto& [angle, torque] : path.points) {
      farthest = std::max(farthest, angle);
      highest = std::max(highest, torque);
    }
  constexpr double kHeight = 380, kTop = 30, kBottom = 330;
  Svg svg(kWidth, kHeight, "Torque against angle, as read",
          fmt::format(
              "A line for each of {} bolts from its last torque stage to the ends of its angle stages: up "
              "to {}° and {} {}.",
              paths.size(), units::format_number(farthest), units::format_number(highest), unit->spelling),
          setting, progress.pass().plan.notice);
  const Scale x(0, farthest * 1.02, kLeft, kRight), y(0, highest * 1.08, kBottom, kTop);
  draw_columns(svg, x, kTop, kBottom, "angle since the last torque stage, °");
  draw_rows(svg, y, kLeft, kRight, fmt::format("torque, {}", unit->spelling));
  for (const Path& path : paths) draw_path(svg, path, x, y);
  if (paths.size() <= kMostNames) name_paths(svg, paths, y, kBottom);
  return std::move(svg).finish();
}

namespace {

// An interval of a force in newtons, in kN or lbf.
review::Interval shown_force(const review::Interval& newtons, bool imperial) {
  const auto shown = [imperial](double n) {
    const joint::Force force = units::of(n, units::newton);
    return imperial ? value_in(force, units::pound_force) : value_in(force, units::kilonewton);
  };
  return {shown(newtons.median), shown(newtons.p5), shown(newtons.p95)};
}

}  // namespace

std::string preload_chart(const std::vector<review::BoltState>& states,
                          const std::vector<plan::FastenerPrediction>& predictions, const TextStyle& style,
                          Setting setting, std::string_view notice) {
  const bool imperial = style.imperial();
  const auto figure = [&](joint::Force f) {
    return imperial ? value_in(f, units::pound_force) : value_in(f, units::kilonewton);
  };
  std::unordered_map<std::string, double> yields;
  for (const plan::FastenerPrediction& p : predictions)
    if (p.yield_preload)
      for (const std::string& bolt : p.bolts) yields[bolt] = figure(*p.yield_preload);
  std::vector<const review::BoltState*> known;
  double most = 0;
  for (const review::BoltState& state : states) {
    if (!state.estimate.preload || state.estimate.loosened) continue;  // nothing is held any more
    known.push_back(&state);
    most = std::max(most, shown_force(*state.estimate.preload, imperial).p95);
    if (const auto found = yields.find(state.id); found != yields.end()) most = std::max(most, found->second);
  }
  if (known.empty()) return {};
  constexpr double kRow = 22, kTop = 34;
  const double bottom = kTop + kRow * static_cast<double>(known.size());
  Svg svg(kWidth, bottom + 42, "Clamp load of each bolt, with its interval",
          fmt::format(
              "{} bolts: a line from the 5 % to the 95 % point, a disc at the middle, a bar across where the "
              "bolt yields with the least strength.",
              known.size()),
          setting, notice);
  const Scale x(0, most * 1.08, kLeft + 30, kRight);
  draw_columns(svg, x, kTop - 8, bottom, imperial ? "clamp load, lbf" : "clamp load, kN");
  for (std::size_t i = 0; i < known.size(); ++i) {
    const review::BoltState& state = *known[i];
    const double y = kTop + kRow * (static_cast<double>(i) + 0.5);
    svg.text(kLeft + 22, y + 4, shortened(state.id, 6), 13, "strong", Anchor::end);
    const review::Interval load = shown_force(*state.estimate.preload, imperial);
    svg.line(x(load.p5), y, x(load.p95), y, "thick");
    svg.circle(x(load.median), y, 5.5, "good");
    if (const auto found = yields.find(state.id); found != yields.end())
      svg.line(x(found->second), y - 9, x(found->second), y + 9, "badline");
  }
  return std::move(svg).finish();
}

}  // namespace clampbook::report
