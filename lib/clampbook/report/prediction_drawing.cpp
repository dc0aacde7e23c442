#include <clampbook/report/chart.h>
#include <clampbook/report/figures.h>
#include <clampbook/report/prediction_drawing.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <functional>

namespace clampbook::report {

using plan::Estimate;
using plan::FastenerPrediction;
using plan::StagePrediction;
using schedule::Schedule;
using schedule::StageKind;
using units::value_in;

namespace {

constexpr double kWidth = 720, kPanel = 250, kLeft = 64, kRight = 700, kTop = 64, kBetween = 64;
constexpr int kParts = 8;

/// A point of the way: an interval of the clamp load, one of the torque, and how far the bolt was turned.
struct Point {
  Estimate<joint::Force> preload;
  std::optional<Estimate<joint::Torque>> torque;
  double turn = 0;  // degrees from where the parts lie together
  int stage = 0;    // whose end it is, or 0
};

bool turns(StageKind kind) {
  return kind == StageKind::snug || kind == StageKind::torque || schedule::row(kind).turns_on;
}

units::Measured part_of(const units::Measured& whole, double share) {
  return {whole.number() * share, whole.unit()};
}

// The schedule up to a part of one stage: the stages behind it left out, its figure cut down. A written
// window keeps its width, which is the scatter of an angle.
Schedule up_to(const Schedule& schedule, int stage, double share) {
  Schedule out = schedule;
  auto cut = std::find_if(out.stages.begin(), out.stages.end(),
                          [&](const schedule::Stage& s) { return s.number == stage; });
  if (share < 1) {
    schedule::Target& target = *cut->target;
    const double less = target.nominal.number() * (1 - share);
    target.nominal = part_of(target.nominal, share);
    for (auto* bound : {&target.low, &target.high})
      if (*bound) *bound = units::Measured(std::max((*bound)->number() - less, 0.0), (*bound)->unit());
  }
  out.stages.erase(cut + 1, out.stages.end());
  return out;
}

class Way {
 public:
  Way(const Schedule& schedule, const FastenerPrediction& whole, const plan::PredictionOptions& options)
      : schedule_(schedule), whole_(whole), options_(options) {}

  std::vector<Point> points() {
    for (const StagePrediction& stage : whole_.stages) {
      if (stage.kind == StageKind::loosen || stage.broken_share > 0.5) break;  // the picture ends here
      if (!turns(stage.kind) || !stage.preload) continue;                      // checked again; by hand
      parts(stage);
      add(stage, 1, stage.stage);
    }
    return std::move(points_);
  }

 private:
  // The stage's prediction when only a part of it is done.
  std::optional<StagePrediction> part(const StagePrediction& stage, double share) const {
    for (const FastenerPrediction& p : plan::predict(up_to(schedule_, stage.stage, share), options_))
      if (p.name == whole_.name || p.bolts == whole_.bolts)
        if (!p.stages.empty() && p.stages.back().stage == stage.stage && p.stages.back().preload)
          return p.stages.back();
    return std::nullopt;
  }

  void parts(const StagePrediction& stage) {
    if (stage.kind != StageKind::angle && stage.kind != StageKind::stretch) return;
    for (int i = 1; i < kParts; ++i) {
      const double share = static_cast<double>(i) / kParts;
      if (const auto reached = part(stage, share)) add(*reached, share, 0);
    }
  }

  void add(const StagePrediction& stage, double share, int end) {
    const double turn =
        stage.kind == StageKind::angle ? start_ + angle_of(stage.stage) * share : turn_of(stage);
    points_.push_back({*stage.preload, stage.torque, turn, end});
    if (end != 0) start_ = turn;
  }

  [[nodiscard]] double angle_of(int number) const {
    for (const schedule::Stage& s : schedule_.stages)
      if (s.number == number && s.target) return s.target->nominal.in(units::degree_unit());
    return 0;
  }

  // From the stiffness of bolt and parts, its twist left out; lasting growth comes on top.
  [[nodiscard]] double turn_of(const StagePrediction& stage) const {
    if (!whole_.bolt_stiffness || !whole_.joint_stiffness || !pitch()) return start_;
    joint::Length gone =
        stage.preload->nominal / *whole_.bolt_stiffness + stage.preload->nominal / *whole_.joint_stiffness;
    if (stage.growth) gone = gone + *stage.growth;
    return std::max(start_, 360 * (gone / *pitch()));
  }

  [[nodiscard]] std::optional<joint::Length> pitch() const {
    const plan::BoltModel model = plan::bolt_model(schedule_, schedule_.fasteners[whole_.fastener]);
    return model.thread.thread.pitch();
  }

  const Schedule& schedule_;
  const FastenerPrediction& whole_;
  const plan::PredictionOptions& options_;
  std::vector<Point> points_;
  double start_ = 0;
};

using Pick = std::function<std::optional<std::array<double, 3>>(const Point&)>;  // p5, nominal, p95

class Panels {
 public:
  Panels(Svg& svg, double top, const FastenerPrediction& p, const TextStyle& style, std::vector<Point> points)
      : svg_(svg), top_(top), prediction_(p), imperial_(style.imperial()), points_(std::move(points)) {}

  void draw() {
    const double end = points_.back().turn;
    const Scale x(0, end > 0 ? end * 1.04 : static_cast<double>(points_.size()), kLeft, kRight);
    const auto force = [this](joint::Force f) {
      return imperial_ ? value_in(f, units::pound_force) : value_in(f, units::kilonewton);
    };
    const auto torque = [this](joint::Torque t) {
      return imperial_ ? value_in(t, units::foot_pound) : value_in(t, units::newton_metre);
    };
    std::optional<double> yield;
    if (prediction_.yield_preload) yield = force(*prediction_.yield_preload);
    panel(top_, x, imperial_ ? "clamp load, lbf" : "clamp load, kN", yield, [&](const Point& p) {
      return std::optional(std::array{force(p.preload.p5), force(p.preload.nominal), force(p.preload.p95)});
    });
    panel(top_ + kPanel + kBetween, x, imperial_ ? "torque, ft·lbf" : "torque, N·m", {},
          [&](const Point& p) -> std::optional<std::array<double, 3>> {
            if (!p.torque) return std::nullopt;
            return std::array{torque(p.torque->p5), torque(p.torque->nominal), torque(p.torque->p95)};
          });
    svg_.text(kRight, top_ + 2 * kPanel + kBetween + 36,
              "turn of the bolt from where the parts lie together, °", 13, "strong", Anchor::end);
  }

 private:
  void panel(double top, const Scale& x, std::string_view words, std::optional<double> yield,
             const Pick& pick) {
    double most = yield.value_or(0);
    for (const Point& p : points_)
      if (const auto v = pick(p)) most = std::max(most, (*v)[2]);
    const double bottom = top + kPanel;
    const Scale y(0, most * 1.08, bottom, top);
    draw_rows(svg_, y, kLeft, kRight, words);
    draw_columns(svg_, x, top, bottom, "");
    const std::string start = coordinate(x(0)) + " " + coordinate(y(0));
    std::string above = "M" + start, below, middle = "M" + start;
    for (const Point& p : points_) {
      const auto v = pick(p);
      if (!v) continue;
      const std::string at = coordinate(x(p.turn)) + " ";
      above += "L" + at + coordinate(y((*v)[2]));
      middle += "L" + at + coordinate(y((*v)[1]));
      below.insert(0, "L" + at + coordinate(y((*v)[0])));
    }
    svg_.path(above + below + "Z", "band");
    svg_.path(middle, "goodline");
    if (yield) {
      svg_.line(kLeft, y(*yield), kRight, y(*yield), "badline");
      svg_.text(kLeft + 6, y(*yield) - 6, "yields from here with the least strength", 12);
    }
    ends(x, y, top, bottom, pick);
  }

  // The ends of the stages; those that lie at one place have one label.
  void ends(const Scale& x, const Scale& y, double top, double bottom, const Pick& pick) {
    std::string label;
    double last = -1;
    const auto write = [&] {
      if (label.empty()) return;
      const bool room = last - kLeft > 9.0 * static_cast<double>(label.size());
      svg_.text(last + (room ? -5 : 5), bottom - 6, label, 12, "strong", room ? Anchor::end : Anchor::start);
    };
    for (const Point& p : points_) {
      const auto v = pick(p);
      if (p.stage == 0 || !v) continue;
      const double at = x(p.turn);
      svg_.line(at, top, at, bottom, "edge");
      svg_.path(hexagon(at, y((*v)[1]), 7), "head");
      if (at - last > 1) {
        write();
        label = fmt::format("stage {}", p.stage);
      } else {
        label += fmt::format(", {}", p.stage);
      }
      last = at;
    }
    write();
  }

  Svg& svg_;
  double top_;
  const FastenerPrediction& prediction_;
  bool imperial_;
  std::vector<Point> points_;
};

// Without a turn: each stage's interval on a line of its own.
void stage_lines(Svg& svg, double top, const FastenerPrediction& p, const TextStyle& style) {
  const bool imperial = style.imperial();
  const auto force = [&](joint::Force f) {
    return imperial ? value_in(f, units::pound_force) : value_in(f, units::kilonewton);
  };
  double most = 0;
  for (const StagePrediction& s : p.stages)
    if (s.preload) most = std::max(most, force(s.preload->p95));
  if (most == 0) {
    svg.text(kLeft, top + 30, "No clamp load can be computed from what the schedule says.", 14);
    return;
  }
  const double bottom = top + 30 * static_cast<double>(p.stages.size());
  const Scale x(0, most * 1.1, kLeft + 150, kRight);
  draw_columns(svg, x, top, bottom, imperial ? "clamp load, lbf" : "clamp load, kN");
  for (std::size_t i = 0; i < p.stages.size(); ++i) {
    const StagePrediction& s = p.stages[i];
    const double y = top + 30 * (static_cast<double>(i) + 0.5);
    svg.text(4, y + 4, fmt::format("{}: {}", s.stage, s.text), 13);
    if (!s.preload) {
      svg.text(kLeft + 150, y + 4, "not known", 12, "soft");
      continue;
    }
    svg.line(x(force(s.preload->p5)), y, x(force(s.preload->p95)), y, "thick");
    svg.path(hexagon(x(force(s.preload->nominal)), y, 7), "head");
  }
}

double height_of(const FastenerPrediction& p, bool turned) {
  return kTop +
         (turned ? 2 * kPanel + kBetween
                 : 30 * static_cast<double>(std::max<std::size_t>(p.stages.size(), 2))) +
         60;
}

std::string in_words(const std::vector<FastenerPrediction>& predictions, const TextStyle& style) {
  const Figures figures(style);
  std::string out;
  for (const FastenerPrediction& p : predictions) {
    out += p.name + ": ";
    for (const StagePrediction& s : p.stages)
      if (s.preload) out += fmt::format("after stage {} {}; ", s.stage, figures.force(*s.preload));
    if (p.yield_preload) out += fmt::format("yields from {}. ", figures.force(*p.yield_preload));
  }
  return out + "The band holds 5 % to 95 % of the samples.";
}

}  // namespace

std::string prediction_drawing(const Schedule& schedule, const std::vector<FastenerPrediction>& predictions,
                               const plan::PredictionOptions& options, const TextStyle& style) {
  std::vector<std::vector<Point>> ways;
  double height = 28;
  for (const FastenerPrediction& p : predictions) {
    const bool has_joint = p.bolt_stiffness && p.joint_stiffness;
    ways.push_back(has_joint ? Way(schedule, p, options).points() : std::vector<Point>());
    height += height_of(p, !ways.back().empty());
  }
  Svg svg(kWidth, height, fmt::format("{}: what the stages do to the bolts", schedule.title),
          in_words(predictions, style), Setting::file, schedule.notice);
  double top = 0;
  for (std::size_t i = 0; i < predictions.size(); ++i) {
    const FastenerPrediction& p = predictions[i];
    svg.text(4, top + 24, p.name, 18, "strong");
    const bool turned = !ways[i].empty();
    if (turned)
      Panels(svg, top + kTop, p, style, std::move(ways[i])).draw();
    else
      stage_lines(svg, top + kTop, p, style);
    top += height_of(p, turned);
  }
  svg.text(4, height - 8,
           "Line: nominal friction, least strength. Band: 5 % to 95 % of the samples. Hexagons: ends of the "
           "stages.",
           12, "soft");
  return std::move(svg).finish();
}

}  // namespace clampbook::report
