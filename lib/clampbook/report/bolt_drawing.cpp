#include <clampbook/report/bolt_drawing.h>
#include <clampbook/report/escape.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <unordered_map>
#include <unordered_set>

namespace clampbook::report {

namespace {

constexpr double kWidth = 720, kTallest = 520;

struct Place {
  double x = 0, y = 0;
};

// Where the bolts come to lie on the drawing, and how large one may be.
struct Layout {
  std::vector<Place> places;
  double height = 0, radius = 0;
  bool to_scale = false;
};

double nearest(const std::vector<Place>& places) {
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < places.size(); ++i)
    for (std::size_t j = i + 1; j < places.size(); ++j)
      least = std::min(least, std::hypot(places[i].x - places[j].x, places[i].y - places[j].y));
  return least;
}

Layout in_rows(std::size_t count) {
  Layout out;
  const auto columns = static_cast<std::size_t>(std::clamp(
      std::ceil(std::sqrt(static_cast<double>(count) * 2)), 1.0, count > kMostNamed ? 200.0 : 12.0));
  const double step = std::min(110.0, kWidth / static_cast<double>(columns));
  out.radius = std::min(26.0, step * 0.3);
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t column = i % columns, row = i / columns;
    out.places.push_back(
        {step * (static_cast<double>(column) + 0.5), 1.25 * step * (static_cast<double>(row) + 0.5)});
  }
  const std::size_t rows = (count + columns - 1) / columns;
  out.height = 1.25 * step * static_cast<double>(rows);
  return out;
}

Layout as_they_lie(const std::vector<plan::PlanBolt>& bolts) {
  std::vector<Place> at;
  Place least{bolts[0].x->machine_value(), bolts[0].y->machine_value()}, most = least;
  for (const plan::PlanBolt& bolt : bolts) {
    at.push_back({bolt.x->machine_value(), bolt.y->machine_value()});
    least = {std::min(least.x, at.back().x), std::min(least.y, at.back().y)};
    most = {std::max(most.x, at.back().x), std::max(most.y, at.back().y)};
  }
  const double across = most.x - least.x, up = most.y - least.y;
  const double between = bolts.size() > kMostNamed
                             ? std::sqrt(std::max(across * up, 1.0) / static_cast<double>(bolts.size()))
                             : nearest(at);
  constexpr double kMargin = 78;
  const double fit = std::min(across > 0 ? (kWidth - 2 * kMargin) / across : 1e9,
                              up > 0 ? (kTallest - 2 * kMargin) / up : 1e9);
  const double scale = across > 0 || up > 0 ? fit : 0;
  Layout out;
  out.to_scale = true;
  out.radius = std::isfinite(between) ? std::clamp(0.32 * between * scale, 1.5, 34.0) : 34.0;
  out.height = up * scale + 2 * kMargin;
  const double left = (kWidth - across * scale) / 2;
  for (const Place& p : at)
    out.places.push_back({left + (p.x - least.x) * scale, kMargin + (most.y - p.y) * scale});
  return out;
}

// The face that the bolts hold down: a ring where they lie on a circle, else a plate.
void draw_face(Svg& svg, const Layout& layout) {
  if (!layout.to_scale || layout.places.size() < 2) return;
  Place centre, least = layout.places[0], most = least;
  for (const Place& p : layout.places) {
    centre.x += p.x / static_cast<double>(layout.places.size());
    centre.y += p.y / static_cast<double>(layout.places.size());
    least = {std::min(least.x, p.x), std::min(least.y, p.y)};
    most = {std::max(most.x, p.x), std::max(most.y, p.y)};
  }
  const auto away = [&](const Place& p) { return std::hypot(p.x - centre.x, p.y - centre.y); };
  const double radius = away(layout.places[0]);
  const bool on_circle = layout.places.size() > 4 &&
                         std::all_of(layout.places.begin(), layout.places.end(), [&](const Place& p) {
                           return std::fabs(away(p) - radius) < 0.02 * radius;
                         });
  const double edge = std::max(layout.radius * 1.9, std::min(layout.radius + 40, 74.0));
  if (on_circle) {
    svg.circle(centre.x, centre.y, radius + edge, "outline");
    if (radius > 2.4 * edge) svg.circle(centre.x, centre.y, radius - edge, "outline");
    return;
  }
  svg.rectangle(least.x - edge, least.y - edge, most.x - least.x + 2 * edge, most.y - least.y + 2 * edge,
                "outline", edge * 0.6);
}

double size_of(std::string_view id, double radius) {
  static constexpr std::array kShares{1.05, 1.05, 0.9, 0.66, 0.52};
  const std::size_t width = text::display_width(id);
  return radius * (width < kShares.size() ? kShares[width] : 2.6 / static_cast<double>(width));
}

class Drawer {
 public:
  Drawer(const plan::Plan& plan, const std::vector<BoltMark>& marks) : plan_(plan), marks_(marks) {
    for (std::size_t i = 0; i < plan.order.size(); ++i) turns_[plan.order[i]] = i + 1;
    for (const plan::Step& step : plan.steps)
      if (step.bolt) on_.insert(*step.bolt);
  }

  Drawing draw(Setting setting) {
    const bool placed = !plan_.bolts.empty() && plan_.bolts.front().x && plan_.bolts.front().y;
    const Layout layout = placed ? as_they_lie(plan_.bolts) : in_rows(plan_.bolts.size());
    const double height = std::max(layout.height, 40.0);
    Svg svg(kWidth, height, title(), description(), setting, plan_.notice);
    draw_face(svg, layout);
    if (plan_.bolts.size() > kMostNamed) {
      crowd(svg, layout);
    } else {
      for (std::size_t i = 0; i < plan_.bolts.size(); ++i) bolt(svg, i, layout.places[i], layout.radius);
    }
    return {std::move(svg).finish(), kWidth, height};
  }

 private:
  [[nodiscard]] std::string title() const {
    return fmt::format("The bolts{}{}", plan_.view.empty() ? "" : ", ", plan_.view);
  }

  [[nodiscard]] std::string description() const {
    std::string out = marks_.empty() ? "Each bolt with its turn: " : "Each bolt with its state: ";
    if (plan_.bolts.size() > kMostNamed)
      return fmt::format("{} bolts, drawn without names; the tables name them.", plan_.bolts.size());
    for (std::size_t i = 0; i < plan_.bolts.size(); ++i) {
      const std::string& id = plan_.bolts[i].id;
      out += i > 0 ? ", " : "";
      out += marks_.empty() && on_.contains(id) ? fmt::format("{} is turn {}", id, turn(id))
                                                : fmt::format("{} {}", id, state(i));
    }
    return out + ".";
  }

  [[nodiscard]] std::string_view state(std::size_t i) const {
    if (!on_.contains(plan_.bolts[i].id)) return "not on yet";
    return marks_.empty() ? std::string_view() : name(marks_[i]);
  }

  [[nodiscard]] std::size_t turn(const std::string& id) const {
    const auto found = turns_.find(id);
    return found == turns_.end() ? 0 : found->second;
  }

  void bolt(Svg& svg, std::size_t i, const Place& p, double r) {
    const plan::PlanBolt& bolt = plan_.bolts[i];
    const bool on = on_.contains(bolt.id);
    const bool open = !on || (!marks_.empty() && marks_[i] == BoltMark::open);
    svg.path(hexagon(p.x, p.y, r), open ? "dashed" : "head");
    const std::string id = shortened(bolt.id, 6);
    const double size = size_of(id, r);
    svg.text(p.x, p.y + 0.36 * size, id, size, "strong", Anchor::middle);
    const double small = std::max(0.5 * r, 4.0), x = p.x + 1.02 * r, y = p.y - 1.02 * r;
    if (marks_.empty()) {
      if (const std::size_t n = turn(bolt.id); on && n > 0) {
        svg.circle(x, y, small, "disc");
        svg.text(x, y + 0.36 * small * 1.15, std::to_string(n), small * (n > 99 ? 0.8 : 1.15), "reversed",
                 Anchor::middle);
      }
    } else {
      draw_mark(svg, marks_[i], x, y, small);
    }
    const double words = std::clamp(0.5 * r, 5.0, 13.0);
    double below = p.y + 0.95 * r + 1.1 * words;
    if (!state(i).empty()) {
      svg.text(p.x, below, state(i), words, "", Anchor::middle);
      below += 1.15 * words;
    }
    if (!bolt.group.empty()) svg.text(p.x, below, shortened(bolt.group, 14), words, "soft", Anchor::middle);
  }

  // Too many for words: one path for each state.
  void crowd(Svg& svg, const Layout& layout) {
    const double r = std::clamp(layout.radius, 1.0, 6.0);
    std::array<std::string, 5> paths;
    for (std::size_t i = 0; i < layout.places.size(); ++i) {
      const Place& p = layout.places[i];
      const BoltMark mark = marks_.empty() ? BoltMark::open : marks_[i];
      std::string& path = paths[static_cast<std::size_t>(mark)];
      switch (mark) {
        case BoltMark::fault:
          path += cross(p.x, p.y, 1.6 * r);
          break;
        case BoltMark::warning:
          path += triangle(p.x, p.y, r, true);
          break;
        case BoltMark::accepted:
          path += diamond(p.x, p.y, r);
          break;
        case BoltMark::in_window:
        case BoltMark::open:
          path += "M" + coordinate(p.x - r) + " " + coordinate(p.y) + "h" + coordinate(2 * r);
          if (mark == BoltMark::in_window)
            path += "m-" + coordinate(r) + "-" + coordinate(r) + "v" + coordinate(2 * r);
          break;
      }
    }
    static constexpr std::array kStyles{"goodline", "accent", "warn", "gone", "badline"};
    for (std::size_t i = 0; i < paths.size(); ++i)
      if (!paths[i].empty()) svg.path(paths[i], kStyles.at(i));
  }

  const plan::Plan& plan_;
  const std::vector<BoltMark>& marks_;
  std::unordered_map<std::string, std::size_t> turns_;
  std::unordered_set<std::string> on_;  // the bolts that this plan is for
};

}  // namespace

std::string_view name(BoltMark mark) {
  static constexpr std::array<std::string_view, 5> kNames{"in window", "accepted", "warning", "open",
                                                          "fault"};
  return kNames.at(static_cast<std::size_t>(mark));
}

void draw_mark(Svg& svg, BoltMark mark, double x, double y, double radius) {
  switch (mark) {
    case BoltMark::in_window:
      svg.circle(x, y, radius, "good");
      svg.path(tick(x, y, radius), "on");
      break;
    case BoltMark::accepted:
      svg.path(diamond(x, y, radius), "warn");
      svg.path(tick(x, y, 0.8 * radius), "on");
      break;
    case BoltMark::warning:
      svg.path(triangle(x, y, 1.15 * radius, true), "warn");
      svg.path("M" + coordinate(x) + " " + coordinate(y - 0.35 * radius) + "v" + coordinate(0.5 * radius) +
                   "m0 " + coordinate(0.38 * radius) + "v.01",
               "on");
      break;
    case BoltMark::open:
      svg.circle(x, y, 0.9 * radius, "dashed");
      break;
    case BoltMark::fault:
      svg.rectangle(x - radius, y - radius, 2 * radius, 2 * radius, "bad", 0.2 * radius);
      svg.path(cross(x, y, radius), "on");
      break;
  }
}

namespace {

constexpr std::array kMarks{BoltMark::in_window, BoltMark::accepted, BoltMark::warning, BoltMark::open,
                            BoltMark::fault};

}  // namespace

std::string mark_symbols() {
  std::string out = "<div class=\"store\" aria-hidden=\"true\">";
  for (const BoltMark mark : kMarks) {
    Svg svg(24, 24, name(mark), "", Setting::page);
    svg.open_symbol(fmt::format("m{}", static_cast<int>(mark)));
    draw_mark(svg, mark, 12, 12, 9.5);
    svg.close();
    out += std::move(svg).finish();
  }
  return out + "</div>\n";
}

std::string mark_in_text(BoltMark mark) {
  return fmt::format("<svg class=\"m\" viewBox=\"0 0 24 24\" aria-hidden=\"true\"><use href=\"#m{}\"/></svg>",
                     static_cast<int>(mark));
}

Drawing bolt_drawing(const plan::Plan& plan, const std::vector<BoltMark>& marks, Setting setting) {
  return Drawer(plan, marks).draw(setting);
}

}  // namespace clampbook::report
