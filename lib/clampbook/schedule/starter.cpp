#include <clampbook/schedule/starter.h>
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

std::string place(const Measured& q) {
  return fmt::format("{} {}", text::shortest(rounded(q.number())), q.unit().spelling);
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
  std::string out = fmt::format(R"(format: fastener schedule 1
title: My joint
machine: My machine
notice: Starter figures that fit no joint. Put the maker's in their place before you turn a bolt.
view: from above

# Where the figures come from, and what that is worth: maker | standard | measured | hearsay.
sources:
  sheet: {{text: "Which sheet, which issue", standing: hearsay}}

fasteners:
  bolt:
    thread: {}            # M10 (coarse), M10x1, 3/8-16 UNC; a left-hand thread ends in -LH
    strength: {}         # as marked on the head
    head: hexagon          # hexagon | socket | {{bearing: 15 mm}}
    # grip: 40 mm          # head to thread, washer included
    # shank: 25 mm         # plain part inside the grip
    # engagement: 15 mm    # thread in the part or nut
    # reuse: never         # never | unlimited | {{times: 3}} | {{growth_below: 0.02 mm}}

# What is clamped; with it the clamp load of an angle stage can be computed.
# joint:
#   layers: [{{material: steel, thickness: 40 mm, outer: 30 mm}}]
#   into: {{material: steel, thread: tapped}}

# The same torque on another lubricant gives another clamp load.
lubricant:
  stated: engine oil       # what the torque figures assume
  used: engine oil         # what is on the bolts today

bolts:                     # at: across and up, seen as "view" says
)",
                                quoted(options.thread), quoted(options.strength));
  for (std::size_t i = 0; i < options.bolts.size(); ++i)
    out += fmt::format("  - {{id: {}, at: [{}, {}]}}\n", i + 1, place(options.bolts[i].x),
                       place(options.bolts[i].y));
  out += fmt::format(R"(
order: {}{}# centre_out | star | circle | listed | [3, 1, 2]

stages:
  - {{do: "Clean and count the parts, oil the threads"}}
  - {{snug: 3 N·m, source: sheet}}
  - {{torque: 5 N·m, source: sheet}}
  # - {{angle: 60°, tolerance: 5°, source: sheet}}
)",
                     OrderRule{options.order}.text(),
                     options.order == OrderKind::star ? "                " : "          ");
  return out;
}

}  // namespace clampbook::schedule
