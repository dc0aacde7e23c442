#include <clampbook/schedule/starter.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/number.h>

#include <fmt/format.h>

#include <cmath>

namespace clampbook::schedule {

using units::Measured;

namespace {

// Places are written to a hundredth, which is finer than any hole is drilled.
double rounded(double value) {
  return std::round(value * 100) / 100 + 0.0;
}

std::string place(const Measured& q, bool ascii) {
  return fmt::format("{} {}", text::shortest(rounded(q.number())),
                     ascii ? q.unit().ascii : q.unit().spelling);
}

// What stands where the maker's figures belong.
struct Figures {
  std::string_view bearing, grip, shank, engagement, growth, thickness, outer, snug, torque;
};
constexpr Figures kMetric{"15 mm", "40 mm", "25 mm", "15 mm", "0.02 mm", "40 mm", "30 mm", "3", "5"};
constexpr Figures kImperial{"0.56 in", "1.5 in",  "1 in", "0.625 in", "0.001 in",
                            "1.5 in",  "1.25 in", "2",    "4"};

// A line of the schedule and, from the same column on in every line, what it means.
std::string noted(std::string_view line, std::string_view note) {
  return fmt::format("{:<26} # {}\n", line, note);
}

std::string degrees(int figure, bool ascii) {
  const units::Unit& unit = units::degree_unit();
  return ascii ? fmt::format("{} {}", figure, unit.ascii) : fmt::format("{}{}", figure, unit.spelling);
}

std::string cautions() {
  std::string out;
  for (const std::string_view caution : text::kStandingCautions) out += fmt::format("# {}\n", caution);
  out += fmt::format("# {}\n", text::kBlindHoleCaution);
  return out;
}

// A text in double quotes, for values that YAML would read as numbers.
std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out.push_back('\\');
    out.push_back(c);
  }
  return out + "\"";
}

}  // namespace

std::vector<StarterBolt> bolts_in_rows(int rows, int columns, const Measured& along,
                                       const Measured& between) {
  std::vector<StarterBolt> out;
  for (int row = 0; row < rows; ++row)
    for (int column = 0; column < columns; ++column)
      out.push_back({{(column - (columns - 1) / 2.0) * along.number(), along.unit()},
                     {((rows - 1) / 2.0 - row) * between.number(), between.unit()}});
  return out;
}

std::vector<StarterBolt> bolts_on_circle(int count, const Measured& diameter) {
  std::vector<StarterBolt> out;
  for (int i = 0; i < count; ++i) {
    const double angle = 2 * units::kPi * i / count;
    out.push_back({{diameter.number() / 2 * std::cos(angle), diameter.unit()},
                   {diameter.number() / 2 * std::sin(angle), diameter.unit()}});
  }
  return out;
}

std::string starter_schedule(const StarterOptions& options) {
  const bool imperial = options.system == units::System::imperial;
  const Figures& figures = imperial ? kImperial : kMetric;
  const units::Unit& torque = imperial ? units::foot_pound_unit() : units::newton_metre_unit();
  const auto spelling = [&](const units::Unit& unit) { return options.ascii ? unit.ascii : unit.spelling; };
  // The first line names the kind of file; what must be read before a bolt is turned comes right behind it.
  std::string out = "format: fastener schedule 1\n\n" + cautions() + R"(
title: My joint
machine: My machine
notice: Starter figures that fit no joint. Put the maker's in their place before you turn a bolt.
view: from above

# Where the figures come from, and what that is worth: maker | standard | measured | hearsay.
sources:
  sheet: {text: "Which sheet, which issue", standing: hearsay}

fasteners:
  bolt:
)";
  out += noted("    thread: " + quoted(options.thread),
               "M10 (coarse), M10x1, 3/8-16 UNC; a left-hand thread ends in -LH");
  out += noted("    strength: " + quoted(options.strength), "as marked on the head");
  out += noted("    head: hexagon", fmt::format("hexagon | socket | {{bearing: {}}}", figures.bearing));
  out += noted(fmt::format("    # grip: {}", figures.grip), "head to thread, washer included");
  out += noted(fmt::format("    # shank: {}", figures.shank), "plain part inside the grip");
  out += noted(fmt::format("    # engagement: {}", figures.engagement), "thread in the part or nut");
  out += noted("    # reuse: never",
               fmt::format("never | unlimited | {{times: 3}} | {{growth_below: {}}}", figures.growth));
  out += fmt::format(R"(
# What is clamped; with it the clamp load of an angle stage can be computed.
# joint:
#   layers: [{{material: steel, thickness: {}, outer: {}}}]
#   into: {{material: steel, thread: tapped}}

# The same torque on another lubricant gives another clamp load.
lubricant:
)",
                     figures.thickness, figures.outer);
  out += noted("  stated: engine oil", "what the torque figures assume");
  out += noted("  used: engine oil", "what is on the bolts today");
  out += "\n" + noted("bolts:", "at: across and up, seen as \"view\" says");
  for (std::size_t i = 0; i < options.bolts.size(); ++i)
    out += fmt::format("  - {{id: {}, at: [{}, {}]}}\n", i + 1, place(options.bolts[i].x, options.ascii),
                       place(options.bolts[i].y, options.ascii));
  out += "\n" + noted("order: " + OrderRule{options.order}.text(),
                      "centre_out | star | circle | listed | [3, 1, 2]");
  out += fmt::format(R"(
stages:
  - {{do: "Clean and count the parts, oil the threads"}}
  - {{snug: {0} {2}, source: sheet}}
  - {{torque: {1} {2}, source: sheet}}
  # - {{angle: {3}, tolerance: {4}, source: sheet}}
)",
                     figures.snug, figures.torque, spelling(torque), degrees(60, options.ascii),
                     degrees(5, options.ascii));
  return out;
}

}  // namespace clampbook::schedule
