#include <clampbook/report/bolt_card.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::report {

using units::format_number;
using units::value_in;

namespace {

constexpr std::size_t kColumns = 40;
constexpr std::size_t kLabel = 20;

bool is_unified(const BoltCard& card) {
  return card.thread.thread.form() == joint::ThreadForm::unified;
}

class Writer {
 public:
  Writer(const BoltCard& card, const TextStyle& style)
      : card_(card),
        imperial_(style.system ? *style.system == units::System::imperial : is_unified(card)),
        columns_(std::min(style.width, kColumns)) {}

  std::string write() {
    line(fmt::format("{}, strength {}", card_.thread.name, card_.strength.name));
    if (!card_.thread.note.empty())
      line(fmt::format("! {} is not a standard pitch: {}", card_.thread.name, card_.thread.note));
    if (card_.thread.thread.left_hand()) line("! left-hand: tightens anticlockwise");
    geometry();
    strength();
    assembly();
    conventions();
    out_ += "\n";
    out_ += standing_cautions(columns_);
    return std::move(out_);
  }

 private:
  void line(std::string_view text) { out_ += wrapped(text, columns_, 0, 2) + "\n"; }
  void row(std::string_view label, std::string_view value) {
    out_ += padded(label, kLabel) + std::string(value) + "\n";
  }
  void heading(std::string_view text) { out_ += "\n" + std::string(text) + "\n"; }

  // Diameters with the four digits that a micrometer reads.
  [[nodiscard]] std::string length(joint::Length l) const {
    return imperial_ ? units::significant(value_in(l, units::inch), 4) + " in"
                     : units::significant(value_in(l, units::millimetre), 4) + " mm";
  }
  [[nodiscard]] std::string area(joint::Area a) const {
    return imperial_ ? format_number(value_in(a, units::square_inch)) + " in²"
                     : format_number(value_in(a, units::square_millimetre)) + " mm²";
  }
  [[nodiscard]] std::string stress(joint::Stress s) const {
    return imperial_ ? format_number(value_in(s, units::kilopound_per_square_inch)) + " ksi"
                     : format_number(value_in(s, units::megapascal)) + " MPa";
  }
  [[nodiscard]] std::string force(joint::Force f) const {
    return imperial_ ? format_number(value_in(f, units::pound_force)) + " lbf"
                     : format_number(value_in(f, units::kilonewton)) + " kN";
  }
  // A torque meets wrenches of either system: the other one stands below.
  void torque(joint::Torque t) {
    const units::Measured written(value_in(t, units::newton_metre), units::newton_metre_unit());
    const auto in = [&](units::System s) { return units::format(written, units::unit_in(s, written)); };
    row("  torque", in(imperial_ ? units::System::imperial : units::System::metric));
    row("", in(imperial_ ? units::System::metric : units::System::imperial));
  }
  static std::string percent(double share) { return format_number(std::round(share * 1000) / 10) + " %"; }

  void geometry() {
    const joint::Thread& t = card_.thread.thread;
    heading("Thread");
    row("  pitch", length(t.pitch()));
    row("  pitch diameter", length(t.pitch_diameter()));
    row("  minor diameter", length(t.minor_diameter()));
    row("  stress area", area(t.stress_area()));
  }

  void strength() {
    const joint::Thread& t = card_.thread.thread;
    heading("Least strength");
    row("  yield", stress(card_.strength.yield));
    row("  tensile", stress(card_.strength.tensile));
    if (const auto proof = joint::proof_load(t, card_.strength)) row("  proof load", force(*proof));
    row("  yield load", force(joint::yield_load(t, card_.strength)));
    row("  breaking load", force(joint::breaking_load(t, card_.strength)));
  }

  void assembly() {
    const joint::AssemblyFigures a = card_.assembly();
    heading(fmt::format("Tightened to {} of yield", percent(card_.utilisation)));
    row("  clamp load", force(a.preload));
    torque(a.torque);
    row("  nut factor", format_number(std::round(a.nut_factor * 1000) / 1000));
    heading("Where the torque goes");
    row("  into clamp load", percent(a.split.pitch));
    row("  thread friction", percent(a.split.thread));
    row("  seat friction", percent(a.split.seat));
  }

  void conventions() {
    const bool inch = is_unified(card_);
    out_ += "\n";
    line(fmt::format("Thread at basic size; minor diameter d3 of the bolt; stress area of {}.",
                     inch ? "ASME B1.1" : "ISO 898-1"));
    line(card_.strength.name.starts_with("SAE")
             ? "Strength: least of the grade (SAE J429); loads are pull alone."
             : "Strength: least of the class (ISO 898-1:2013); loads are pull alone.");
    line(
        fmt::format("Clamp load at {} of the least yield strength, pull and twist together, plastic torsion "
                    "(VDI 2230 since 2003, from memory).",
                    percent(card_.utilisation)));
    line(fmt::format("Friction {} in the thread, {} under the head.",
                     format_number(card_.thread_friction.coefficient()),
                     format_number(card_.seat_friction.coefficient())));
    line(fmt::format("Head bears on {} ({}), hole {} ({}).", length(card_.head_bearing),
                     !card_.head_from_table ? "as given"
                     : inch                 ? "hexagon, ASME B18.2.1, from memory"
                                            : "hexagon, ISO 4014, from memory",
                     length(card_.hole),
                     !card_.hole_from_table ? "as given"
                     : inch                 ? "ASME B18.2.8 normal, from memory"
                                            : "ISO 273 medium, from memory"));
    line("One figure without its scatter, no prevailing torque: predict gives the interval for a joint.");
  }

  const BoltCard& card_;
  bool imperial_;
  std::size_t columns_;
  std::string out_;
};

}  // namespace

joint::AssemblyFigures BoltCard::assembly() const {
  const joint::Contact contact{thread_friction, seat_friction, joint::mean_seat_diameter(head_bearing, hole)};
  return joint::assembly_figures(thread.thread, strength.yield, contact, utilisation);
}

text::Json to_json(const BoltCard& card) {
  const joint::Thread& t = card.thread.thread;
  const auto mm = [](joint::Length l) { return value_in(l, units::millimetre); };
  const auto mpa = [](joint::Stress s) { return value_in(s, units::megapascal); };
  const auto newtons = [](joint::Force f) { return value_in(f, units::newton); };
  const auto proof = joint::proof_load(t, card.strength);
  const joint::AssemblyFigures a = card.assembly();
  return text::Json::object()
      .set("thread", card.thread.name)
      .set("strength", card.strength.name)
      .set("pitch_mm", mm(t.pitch()))
      .set("pitch_diameter_mm", mm(t.pitch_diameter()))
      .set("minor_diameter_mm", mm(t.minor_diameter()))
      .set("stress_area_mm2", value_in(t.stress_area(), units::square_millimetre))
      .set("yield_MPa", mpa(card.strength.yield))
      .set("tensile_MPa", mpa(card.strength.tensile))
      .set("proof_load_N", proof ? text::Json(newtons(*proof)) : text::Json())
      .set("yield_load_N", newtons(joint::yield_load(t, card.strength)))
      .set("breaking_load_N", newtons(joint::breaking_load(t, card.strength)))
      .set("assembly_preload_N", newtons(a.preload))
      .set("assembly_torque_Nm", value_in(a.torque, units::newton_metre))
      .set("nut_factor", a.nut_factor)
      .set("torque_split", text::Json::object()
                               .set("pitch", a.split.pitch)
                               .set("thread", a.split.thread)
                               .set("seat", a.split.seat));
}

std::string bolt_card(const BoltCard& card, const TextStyle& style) {
  return Writer(card, style).write();
}

}  // namespace clampbook::report
