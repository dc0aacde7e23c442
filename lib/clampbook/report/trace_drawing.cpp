#include <clampbook/report/chart.h>
#include <clampbook/report/figures.h>
#include <clampbook/report/trace_drawing.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::report {

using units::value_in;

namespace {

constexpr double kWidth = 720, kPanel = 280, kLeft = 64, kRight = 700, kTop = 78, kFoot = 66;

class Panel {
 public:
  Panel(Svg& svg, double top, const TraceReport& trace, const TextStyle& style)
      : svg_(svg),
        top_(top + kTop),
        trace_(trace),
        imperial_(style.imperial()),
        figures_(style),
        x_(trace.curve.start, std::max(trace.curve.end, trace.curve.start + 1), kLeft, kRight),
        y_(0, std::max(1.08 * torque(trace.reading.peak), 1e-9), top_ + kPanel, top_) {}

  void draw() {
    const trace::TraceReading& r = trace_.reading;
    svg_.text(4, top_ - 52, text::printable(trace_.file), 16, "strong");
    svg_.text(4, top_ - 34, words(), 13);
    draw_rows(svg_, y_, kLeft, kRight, imperial_ ? "torque, ft·lbf" : "torque, N·m");
    draw_columns(svg_, x_, top_, top_ + kPanel, "angle as in the file, °");
    elastic_line();
    curve();
    if (r.snug) place(*r.snug, "snug");
    if (r.yield) place(*r.yield, "half slope");
    if (trace_.joint.yield_02) place(*trace_.joint.yield_02, "0.2 % strain");
  }

 private:
  [[nodiscard]] double torque(units::Torque t) const {
    return imperial_ ? value_in(t, units::foot_pound) : value_in(t, units::newton_metre);
  }
  [[nodiscard]] double torque(double newton_metres) const {
    return torque(units::of(newton_metres, units::newton_metre));
  }

  [[nodiscard]] std::string words() const {
    std::string out(trace::name(trace_.reading.verdict));
    std::replace(out.begin(), out.end(), '_', ' ');
    if (const auto& preload = trace_.joint.preload) out += "; clamp load " + figures_.force(*preload);
    return out;
  }

  void curve() {
    std::string path;
    for (const trace::CurvePoint& point : trace_.curve.points)
      path += (path.empty() ? "M" : "L") + coordinate(x_(point.degrees)) + " " +
              coordinate(y_(torque(point.newton_metres)));
    if (!path.empty()) svg_.path(path, "ink");
  }

  void elastic_line() {
    const trace::TraceReading& r = trace_.reading;
    if (!r.slope || !r.elastic_origin) return;
    const double origin = value_in(*r.elastic_origin, units::degree);
    const double from = r.prevailing ? torque(*r.prevailing) : 0;
    const double rise = torque(*r.slope * units::of(1, units::degree));
    const double end = std::min(trace_.curve.end, origin + (y_.high() - from) / rise);
    svg_.line(x_(origin), y_(from), x_(end), y_(from + rise * (end - origin)), "edge");
  }

  void place(const trace::CurvePlace& at, std::string_view label) {
    const double x = x_(value_in(at.angle, units::degree)), y = y_(torque(at.torque));
    const std::string shape = label == "snug"         ? triangle(x, y, 8, true)
                              : label == "half slope" ? diamond(x, y, 8)
                                                      : hexagon(x, y, 8);
    svg_.path(shape, "head");
    // Left above the curve and right below it there is room.
    if (label == "half slope") {
      svg_.text(x - 14, y - 6, label, 12, "strong", Anchor::end);
    } else if (label == "snug") {
      svg_.text(x + 14, y + 4, label, 12, "strong");
    } else {
      const bool room = x + 14 + 8.0 * static_cast<double>(label.size()) < kRight;
      svg_.text(room ? x + 12 : kRight, y + 42, label, 12, "strong", room ? Anchor::start : Anchor::end);
    }
  }

  Svg& svg_;
  double top_;
  const TraceReport& trace_;
  bool imperial_;
  Figures figures_;
  Scale x_, y_;
};

std::string in_words(const std::vector<TraceReport>& traces) {
  std::string out;
  for (const TraceReport& t : traces) {
    out += fmt::format("{}: {}, peak {}", t.file, trace::name(t.reading.verdict),
                       units::format(units::Measured(value_in(t.reading.peak, units::newton_metre),
                                                     units::newton_metre_unit())));
    if (t.reading.yield)
      out += fmt::format(", half of the elastic slope at {}°",
                         units::significant(value_in(t.reading.yield->angle, units::degree), 4));
    out += ". ";
  }
  return out + "Dashed: the elastic line.";
}

}  // namespace

std::string trace_drawing(const std::vector<TraceReport>& traces, const TextStyle& style) {
  const double each = kTop + kPanel + kFoot;
  const double height = each * static_cast<double>(traces.size()) + 30;
  Svg svg(kWidth, height, traces.size() == 1 ? "A torque-angle curve" : "Torque-angle curves",
          in_words(traces), Setting::file);
  for (std::size_t i = 0; i < traces.size(); ++i)
    Panel(svg, each * static_cast<double>(i), traces[i], style).draw();
  svg.text(4, height - 10,
           "Dashed: the elastic line. Read off a curve, each with its error; a curve without a fault is no "
           "proof of a "
           "sound joint.",
           12, "soft");
  return std::move(svg).finish();
}

}  // namespace clampbook::report
