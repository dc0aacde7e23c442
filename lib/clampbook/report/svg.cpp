#include <clampbook/report/colours.h>
#include <clampbook/report/escape.h>
#include <clampbook/report/svg.h>
#include <clampbook/report/text_style.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

namespace clampbook::report {

std::string coordinate(double x) {
  std::string out = fmt::format("{:.2f}", x);
  while (out.back() == '0') out.pop_back();
  if (out.back() == '.') out.pop_back();
  return out == "-0" ? "0" : out;
}

std::string_view drawing_style() {
  return "svg text{font-family:sans-serif;fill:var(--ink);stroke:none}"
         ".outline{fill:none;stroke:var(--line);stroke-width:1.5}"
         ".ink{fill:none;stroke:var(--ink);stroke-width:2}"
         ".thick{fill:none;stroke:var(--ink);stroke-width:3.5}"
         ".head{fill:var(--paper);stroke:var(--ink);stroke-width:2}"
         ".dashed{fill:var(--paper);stroke:var(--ink);stroke-width:2;stroke-dasharray:5 4}"
         ".grid{fill:none;stroke:var(--faint);stroke-width:1}"
         ".band{fill:var(--band);stroke:none}"
         ".edge{fill:none;stroke:var(--muted);stroke-width:1.5;stroke-dasharray:6 4}"
         ".good{fill:var(--good);stroke:none}.warn{fill:var(--warn);stroke:none}.bad{fill:var(--bad);stroke:"
         "none}"
         ".on{fill:none;stroke:var(--paper);stroke-width:2.2;stroke-linecap:round;stroke-linejoin:round}"
         ".goodline{fill:none;stroke:var(--good);stroke-width:2.5}"
         ".badline{fill:none;stroke:var(--bad);stroke-width:2.5}"
         ".accent{fill:none;stroke:var(--accent);stroke-width:2}"
         ".dots{fill:none;stroke:var(--good);stroke-width:9;stroke-linecap:round}.small{stroke-width:4}"
         ".gone{fill:none;stroke:var(--muted);stroke-width:1.5}"
         "svg .soft{fill:var(--muted)}svg .strong{font-weight:bold}"
         "svg .reversed{fill:var(--paper);font-weight:bold}svg .disc{fill:var(--ink);stroke:none}";
}

namespace {

constexpr double kFootSize = 12, kFootLine = 16;

// What stands below a drawing that is a file of its own, in lines that fit: a letter takes about half its
// size.
std::vector<std::string> foot_lines(double width, std::string_view notice) {
  const auto columns = static_cast<std::size_t>(std::max(width - 8, 100.0) / (0.58 * kFootSize));
  std::string all = notice.empty() ? "" : wrapped(text::printable(notice), columns, 0, 2) + "\n";
  all += standing_cautions(columns);
  std::vector<std::string> out;
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = all.find('\n', at);
    out.push_back(all.substr(at, end - at));
    at = end + 1;
  }
  return out;
}

}  // namespace

Svg::Svg(double width, double height, std::string_view title, std::string_view description, Setting setting,
         std::string_view notice) {
  if (setting == Setting::file) {
    double y = height + kFootLine;
    for (const std::string& line : foot_lines(width, notice)) {
      const double hanging = line.starts_with("  ") ? 10 : 0;
      text(4 + hanging, y, std::string_view(line).substr(hanging > 0 ? 2 : 0), kFootSize, "strong");
      y += kFootLine;
    }
    height = y;
    foot_ = std::exchange(out_, {});
  }
  const std::string w = coordinate(width), h = coordinate(height);
  out_ = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + w + " " + h + "\"";
  if (setting == Setting::file) out_ += " width=\"" + w + "\" height=\"" + h + "\"";
  out_ += " role=\"img\" aria-label=\"";
  append_escaped(out_, title);
  out_ += "\"><title>";
  append_escaped(out_, title);
  out_ += "</title><desc>";
  append_escaped(out_, description);
  out_ += "</desc>\n";
  if (setting == Setting::page) return;
  out_ += "<style>";
  out_ += colour_style();
  out_ += drawing_style();
  out_ += "</style>\n<rect width=\"100%\" height=\"100%\" style=\"fill:var(--paper)\"/>\n";
}

void Svg::style(std::string_view name) {
  if (!name.empty()) (out_ += " class=\"") += std::string(name) + "\"";
}

void Svg::line(double x1, double y1, double x2, double y2, std::string_view name) {
  out_ += "<line x1=\"" + coordinate(x1) + "\" y1=\"" + coordinate(y1) + "\" x2=\"" + coordinate(x2) +
          "\" y2=\"" + coordinate(y2) + "\"";
  style(name);
  out_ += "/>\n";
}

void Svg::rectangle(double x, double y, double width, double height, std::string_view name, double round) {
  out_ += "<rect x=\"" + coordinate(x) + "\" y=\"" + coordinate(y) + "\" width=\"" + coordinate(width) +
          "\" height=\"" + coordinate(height) + "\"";
  if (round > 0) out_ += " rx=\"" + coordinate(round) + "\"";
  style(name);
  out_ += "/>\n";
}

void Svg::circle(double x, double y, double radius, std::string_view name) {
  out_ +=
      "<circle cx=\"" + coordinate(x) + "\" cy=\"" + coordinate(y) + "\" r=\"" + coordinate(radius) + "\"";
  style(name);
  out_ += "/>\n";
}

void Svg::path(std::string_view data, std::string_view name) {
  (out_ += "<path d=\"") += data;
  out_ += "\"";
  style(name);
  out_ += "/>\n";
}

void Svg::text(double x, double y, std::string_view words, double size, std::string_view name,
               Anchor anchor) {
  out_ +=
      "<text x=\"" + coordinate(x) + "\" y=\"" + coordinate(y) + "\" font-size=\"" + coordinate(size) + "\"";
  if (anchor != Anchor::start)
    out_ += anchor == Anchor::middle ? " text-anchor=\"middle\"" : " text-anchor=\"end\"";
  style(name);
  out_ += ">";
  append_escaped(out_, words);
  out_ += "</text>\n";
}

void Svg::open(std::string_view title) {
  out_ += "<g><title>";
  append_escaped(out_, title);
  out_ += "</title>";
}

void Svg::open_symbol(std::string_view name) {
  (out_ += "<g id=\"") += name;
  out_ += "\">\n";
}

void Svg::close() {
  out_ += "</g>\n";
}

std::string Svg::finish() && {
  out_ += foot_ + "</svg>\n";
  return std::move(out_);
}

namespace {

struct Corner {
  double x, y;
};

std::string polygon(double x, double y, double radius, std::initializer_list<Corner> corners) {
  std::string out;
  for (const Corner& c : corners)
    out += (out.empty() ? "M" : "L") + coordinate(x + c.x * radius) + " " + coordinate(y + c.y * radius);
  return out + "Z";
}

}  // namespace

std::string hexagon(double x, double y, double radius) {
  constexpr double kHalf = 0.866;  // sine of 60 degrees
  return polygon(x, y, radius, {{1, 0}, {0.5, kHalf}, {-0.5, kHalf}, {-1, 0}, {-0.5, -kHalf}, {0.5, -kHalf}});
}

std::string triangle(double x, double y, double radius, bool up) {
  const double s = up ? -1 : 1;
  return polygon(x, y, radius, {{0, s}, {0.95, -0.75 * s}, {-0.95, -0.75 * s}});
}

std::string diamond(double x, double y, double radius) {
  return polygon(x, y, radius, {{0, -1.1}, {1.1, 0}, {0, 1.1}, {-1.1, 0}});
}

std::string cross(double x, double y, double radius) {
  const double r = 0.6 * radius;
  return "M" + coordinate(x - r) + " " + coordinate(y - r) + "L" + coordinate(x + r) + " " +
         coordinate(y + r) + "M" + coordinate(x + r) + " " + coordinate(y - r) + "L" + coordinate(x - r) +
         " " + coordinate(y + r);
}

std::string tick(double x, double y, double radius) {
  return "M" + coordinate(x - 0.55 * radius) + " " + coordinate(y) + "L" + coordinate(x - 0.12 * radius) +
         " " + coordinate(y + 0.42 * radius) + "L" + coordinate(x + 0.55 * radius) + " " +
         coordinate(y - 0.42 * radius);
}

}  // namespace clampbook::report
