#include <clampbook/report/trace_report.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/unit.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

namespace clampbook::report {

using text::Json;
using trace::Verdict;
using units::degree;
using units::newton_metre;
using units::value_in;

namespace {

template <class Quantity>
Json number(const std::optional<Quantity>& value, units::Scale<Quantity> unit) {
  return value ? Json(value_in(*value, unit)) : Json();
}

Json torque(const std::optional<trace::CurvePlace>& place) {
  return place ? Json(value_in(place->torque, newton_metre)) : Json();
}
Json angle(const std::optional<trace::CurvePlace>& place) {
  return place ? Json(value_in(place->angle, degree)) : Json();
}

std::string_view meaning(Verdict verdict) {
  switch (verdict) {
    case Verdict::too_short:
      return "too short to be judged";
    case Verdict::retightened:
      return "retightened: the bolt was tight already";
    case Verdict::stripped:
      return "stripped: torque fell and did not come back";
    case Verdict::bottomed:
      return "bottomed: torque grew much stiffer";
    case Verdict::cross_threaded:
      return "cross-threaded: it ran down hard and unevenly";
    case Verdict::prevailing:
      return "prevailing torque: a lock nut, an insert or the like";
    case Verdict::sound:
      return "sound: went past yield";
    case Verdict::not_yielded:
      return "not yielded: ended on its straight rise, no fault seen";
  }
  return "";
}

// What to do about a verdict that is a fault.
std::string_view remedy(Verdict verdict) {
  switch (verdict) {
    case Verdict::too_short:
      return "log the whole pull, from the run-down on, and look again; nothing is known of this bolt from "
             "it";
    case Verdict::stripped:
      return "do not turn it further; take the bolt out, look at both threads, replace what gave way";
    case Verdict::bottomed:
      return "take the bolt out; compare its length with the depth of the hole, look for oil, water or chips "
             "in it";
    case Verdict::cross_threaded:
      return "take the bolt out; look at both threads, chase or replace them, start the bolt by hand";
    default:
      return "";
  }
}

// Characters per degree and newton metre: torque upward, angle to the right.
class Chart {
 public:
  static constexpr std::size_t kWidth = 60, kHeight = 12;

  Chart(const TraceReport& trace, const TextStyle& style)
      : trace_(trace),
        ascii_(style.ascii),
        imperial_(style.imperial()),
        unit_(imperial_ ? units::foot_pound : newton_metre) {
    const auto& points = trace.curve.points;
    high_ = std::max(value_in(trace.reading.peak, newton_metre), 1e-9);
    last_ = points.back().degrees;
    first_ = points.front().degrees;
    // A long run-down tells little: a quarter of the chart is enough for it.
    if (trace.reading.elastic_origin) {
      const double origin = value_in(*trace.reading.elastic_origin, degree);
      first_ = std::max(first_, origin - std::max(10.0, (last_ - origin) / 4));
    }
    if (last_ <= first_) last_ = first_ + 1;
    rows_.assign(kHeight, std::u32string(kWidth, U' '));
  }

  std::string draw() {
    const auto& points = trace_.curve.points;
    for (std::size_t i = 1; i < points.size(); ++i) join(points[i - 1], points[i]);
    mark(trace_.reading.snug, U'S');
    mark(trace_.reading.yield, U'Y');
    mark(trace_.joint.yield_02, U'2');
    std::string out;
    for (std::size_t i = 0; i < kHeight; ++i) {
      const std::string label = i == 0             ? fmt::format("{:.3g}", high_ / unit_.si)
                                : i + 1 == kHeight ? "0"
                                                   : "";
      out += fmt::format("  {:>6} {}", label, ascii_ ? "|" : "│");
      std::u32string row = rows_[i];
      row.erase(row.find_last_not_of(U' ') + 1);
      for (const char32_t c : row) text::append_character(out, c);
      out += "\n";
    }
    std::string axis(9, ' ');
    axis += ascii_ ? "+" : "└";
    for (std::size_t i = 0; i < kWidth; ++i) axis += ascii_ ? "-" : "─";
    const std::string left = fmt::format("{:.0f}", first_), right = fmt::format("{:.0f}", last_);
    const std::string degrees = ascii_ ? " deg" : "°";
    std::string scale(10, ' ');
    scale += left + degrees;
    const std::size_t used = left.size() + right.size() + 2 * text::display_width(degrees);
    scale += std::string(kWidth > used ? kWidth - used : 1, ' ') + right + degrees;
    return fmt::format("  {:>6}\n{}{}\n{}\n", imperial_ ? "ft·lbf" : "N·m", out, axis, scale);
  }

 private:
  void put(double degrees, double torque, char32_t sign) {
    const double x = (degrees - first_) / (last_ - first_) * (kWidth - 1);
    const double y = std::clamp(torque / high_, 0.0, 1.0) * (kHeight - 1);
    const auto column = static_cast<std::size_t>(std::clamp(std::round(x), 0.0, kWidth - 1.0));
    rows_[kHeight - 1 - static_cast<std::size_t>(std::round(y))][column] = sign;
  }
  // A sign in every column between two points.
  void join(const trace::CurvePoint& a, const trace::CurvePoint& b) {
    const double step = (last_ - first_) / kWidth;
    for (double at = std::max(a.degrees, first_); at <= b.degrees; at += step)
      put(at, std::lerp(a.newton_metres, b.newton_metres, (at - a.degrees) / (b.degrees - a.degrees)),
          ascii_ ? U'.' : U'·');
  }
  void mark(const std::optional<trace::CurvePlace>& place, char32_t sign) {
    if (place && value_in(place->angle, degree) >= first_)
      put(value_in(place->angle, degree), value_in(place->torque, newton_metre), sign);
  }

  const TraceReport& trace_;
  bool ascii_, imperial_;
  units::Scale<units::Torque> unit_;
  double first_ = 0, last_ = 1, high_ = 1;
  std::vector<std::u32string> rows_{};
};

class Writer {
 public:
  Writer(const TraceReport& trace, const TextStyle& style) : trace_(trace), style_(style) {}

  std::string write() {
    const trace::TraceReading& r = trace_.reading;
    // Not broken: a path is as long as it is.
    out_ += fmt::format("{}: {}\n", text::printable(trace_.file), meaning(r.verdict));
    row("pull", fmt::format("{} reading{}, turned to {}", trace_.curve.samples,
                            trace_.curve.samples == 1 ? "" : "s", degrees(r.end)));
    if (r.prevailing) row("running torque", torque(*r.prevailing));
    if (r.snug) row("snug [S]", place(*r.snug));
    if (r.slope) {
      row("elastic slope", fmt::format("{} per degree, from {} on", torque_of(slope_per_degree()),
                                       degrees(*r.elastic_origin)));
    }
    if (r.yield) row("yield [Y]", place(*r.yield) + ", at half of that slope");
    if (trace_.joint.yield_02) row("0.2 % strain [2]", place(*trace_.joint.yield_02));
    row("peak", torque(r.peak));
    if (const auto& p = trace_.joint.preload)
      row("clamp load",
          fmt::format("{}, 90 % between {} and {}", force(p->nominal), force(p->p5), force(p->p95)));
    if (trace_.curve.points.size() >= 2 && value_in(r.peak, newton_metre) > 0)
      out_ += "\n" + Chart(trace_, style_).draw();
    if (!trace_.notes.empty() || trace::is_fault(r.verdict)) out_ += "\n";
    for (const std::string& note : trace_.notes) line("note: " + text::printable(note), 2);
    if (const std::string_view what = remedy(r.verdict); !what.empty()) line(fmt::format("do: {}", what), 2);
    return std::move(out_);
  }

 private:
  void line(std::string_view text, std::size_t indent) {
    out_ += wrapped(text, style_.width, indent, indent + 4) + "\n";
  }
  void row(std::string_view name, std::string_view text) {
    out_ += wrapped(fmt::format("{}{}", padded(name, 18), text), style_.width, 2, 20) + "\n";
  }
  [[nodiscard]] std::string torque_of(double newton_metres) const {
    const double size = std::fabs(newton_metres);
    const double step = size > 0 ? std::pow(10.0, std::floor(std::log10(size)) - 2) : 1;
    return both_systems({std::round(newton_metres / step) * step, units::newton_metre_unit()}, style_);
  }
  [[nodiscard]] std::string torque(units::Torque t) const { return torque_of(value_in(t, newton_metre)); }
  [[nodiscard]] double slope_per_degree() const {
    return value_in(*trace_.reading.slope, units::newton_metre_per_degree);
  }
  [[nodiscard]] std::string degrees(units::Angle a) const {
    return fmt::format("{:.1f}{}", value_in(a, degree), style_.ascii ? " deg" : "°");
  }
  [[nodiscard]] std::string place(const trace::CurvePlace& p) const {
    return fmt::format("{} at {}", torque(p.torque), degrees(p.angle));
  }
  [[nodiscard]] std::string force(units::Force f) const {
    if (style_.imperial())
      return fmt::format("{:.0f} lbf", std::round(value_in(f, units::pound_force) / 10) * 10);
    return fmt::format("{:.1f} kN", value_in(f, units::kilonewton));
  }

  const TraceReport& trace_;
  const TextStyle& style_;
  std::string out_{};
};

}  // namespace

Json to_json(const TraceReport& trace) {
  const trace::TraceReading& r = trace.reading;
  Json notes = Json::array();
  for (const std::string& note : trace.notes) notes.push(note);
  Json preload;
  if (const auto& p = trace.joint.preload)
    preload = Json::object()
                  .set("nominal", value_in(p->nominal, units::newton))
                  .set("p5", value_in(p->p5, units::newton))
                  .set("p95", value_in(p->p95, units::newton));
  return Json::object()
      .set("file", trace.file)
      .set("samples", trace.curve.samples)
      .set("prevailing_Nm", number(r.prevailing, newton_metre))
      .set("snug_Nm", torque(r.snug))
      .set("snug_deg", angle(r.snug))
      .set("slope_Nm_per_deg", number(r.slope, units::newton_metre_per_degree))
      .set("elastic_origin_deg", number(r.elastic_origin, degree))
      .set("yielded", r.yield.has_value())
      .set("yield_Nm", torque(r.yield))
      .set("yield_deg", angle(r.yield))
      .set("yield_02_deg", angle(trace.joint.yield_02))
      .set("yield_02_Nm", torque(trace.joint.yield_02))
      .set("peak_Nm", value_in(r.peak, newton_metre))
      .set("end_deg", value_in(r.end, degree))
      .set("preload_N", std::move(preload))
      .set("verdict", trace::name(r.verdict))
      .set("notes", std::move(notes));
}

std::string trace_text(const TraceReport& trace, const TextStyle& style) {
  return Writer(trace, style).write();
}

std::string trace_cautions(const TextStyle& style) {
  const std::string read_off = wrapped(
      "Read off a curve, each with its error (docs/accuracy.md). Half of the slope comes before 0.2 % "
      "strain, by some 10°; a curve without a fault is no proof of a sound joint.",
      style.width, 0, 2);
  return read_off + "\n" + standing_cautions(style.width);
}

}  // namespace clampbook::report
