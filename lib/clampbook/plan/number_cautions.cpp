#include <clampbook/joint/material.h>
#include <clampbook/joint/nut_factor.h>
#include <clampbook/joint/seat.h>
#include <clampbook/joint/stripping.h>
#include <clampbook/joint/yield.h>
#include <clampbook/plan/cautions.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>

namespace clampbook::plan {

using joint::Force;
using joint::Length;
using schedule::Fastener;
using schedule::Schedule;
using units::format_number;
using units::value_in;

namespace {

// Limits of the trade (common practice) unless a source is named.
constexpr double kThinMargin = 0.9;  // VDI 2230: assembly at 90 % of yield
constexpr double kNearBreak = 0.5;   // of the plastic strain that the section takes before Rm
constexpr double kPlausible = 0.25;  // of the yield load, at the end
constexpr double kFreeThread = 1.0;  // diameters of free loaded thread, for a bolt that is to yield
constexpr double kBroken = 0.001;    // of the samples

class Finder {
 public:
  Finder(const Schedule& schedule, const FastenerPrediction& p)
      : schedule_(schedule),
        p_(p),
        f_(schedule.fasteners[p.fastener]),
        bolt_(bolt_model(schedule, f_)),
        imperial_(schedule.written_in() == units::System::imperial) {}

  std::vector<Caution> find() {
    missing();
    for (const StagePrediction& stage : p_.stages) {
      yields(stage);
      near_break(stage);
      window(stage);
      recheck(stage);
    }
    thin_margin();
    implausible();
    if (const auto most = most_preload()) {
      seat(*most);
      engagement(*most);
    }
    free_thread();
    return std::move(out_);
  }

 private:
  void add(std::string slug, const StagePrediction* stage, const std::string& text,
           std::optional<double> have, std::optional<double> limit) {
    const std::string place =
        stage != nullptr ? fmt::format("{}, stage {} ({})", p_.name, stage->stage, stage->text) : p_.name;
    out_.push_back({std::move(slug), p_.name, stage != nullptr ? std::optional(stage->stage) : std::nullopt,
                    place + ": " + text, have, limit});
  }

  // In the schedule's own unit system.
  [[nodiscard]] std::string force(Force f) const {
    return imperial_ ? units::three_digits(value_in(f, units::pound_force)) + " lbf"
                     : format_number(value_in(f, units::kilonewton)) + " kN";
  }
  [[nodiscard]] std::string length(Length l) const {
    return imperial_ ? format_number(value_in(l, units::inch)) + " in"
                     : format_number(value_in(l, units::millimetre)) + " mm";
  }
  [[nodiscard]] std::string stress(joint::Stress s) const {
    return imperial_ ? format_number(value_in(s, units::kilopound_per_square_inch)) + " ksi"
                     : format_number(value_in(s, units::megapascal)) + " MPa";
  }

  void missing() {
    if (p_.nut_factor_only) {
      add("no-joint-data", nullptr,
          "a nut factor alone gives no torque in the thread: yield, utilisation and growth are not computed; "
          "give lubricant: {thread: ..., seat: ...}",
          {}, {});
    } else if (!p_.missing.empty()) {
      add("no-joint-data", nullptr,
          fmt::format("not everything can be computed; missing: {}", fmt::join(p_.missing, ", ")), {}, {});
    }
  }

  // Once, at the first stage that may do it.
  void yields(const StagePrediction& stage) {
    if (yields_ || !stage.yields || *stage.yields == Yields::never) return;
    yields_ = true;
    const bool certain = *stage.yields == Yields::certain;
    add("yields", &stage,
        fmt::format("{} the bolt to its yield point ({} of the samples); least yield preload {}; eye "
                    "protection, one steady pull",
                    certain ? "takes" : "may take", format_number(stage.yield_share * 100) + " %",
                    force(*p_.yield_preload)),
        value_in(stage.preload ? stage.preload->nominal : *p_.breaking_load, units::newton),
        value_in(*p_.yield_preload, units::newton));
  }

  void near_break(const StagePrediction& stage) {
    if (near_break_ || !p_.yield_preload) return;
    const bool broken = stage.utilisation && !stage.preload && stage.broken_share > 0;
    const double share = stage.growth_share.value_or(0);
    if (!broken && share <= kNearBreak && stage.broken_share <= kBroken) return;
    near_break_ = true;
    if (broken || stage.broken_share > kBroken) {
      add("near-break", &stage,
          fmt::format("{}; breaking load {}",
                      broken ? "breaks the bolt"
                             : format_number(stage.broken_share * 100) + " % of the samples break",
                      force(*p_.breaking_load)),
          broken ? 1 : stage.broken_share, kBroken);
    } else {
      add("near-break", &stage,
          fmt::format("uses up {} % of the lengthening that the bolt takes before it breaks; limit {} % "
                      "(common practice)",
                      format_number(share * 100), format_number(kNearBreak * 100)),
          share, kNearBreak);
    }
  }

  void window(const StagePrediction& stage) {
    if (!stage.final_torque || !stage.torque) return;
    const double low = stage.final_torque->low.si(), high = stage.final_torque->high.si();
    const double p5 = value_in(stage.torque->p5, units::newton_metre),
                 p95 = value_in(stage.torque->p95, units::newton_metre);
    if (p5 <= high && p95 >= low) return;
    const double nominal = value_in(stage.torque->nominal, units::newton_metre),
                 edge = p5 > high ? high : low;
    const units::Unit& unit = stage.final_torque->high.unit();
    const auto shown = [&](joint::Torque t) {
      return units::Measured(value_in(t, units::newton_metre), units::newton_metre_unit()).converted_to(unit);
    };
    add("window-unreachable", &stage,
        fmt::format("a final torque of {} is to be expected, outside {}",
                    units::format_range(shown(stage.torque->p5), shown(stage.torque->p95), unit),
                    units::format_range(stage.final_torque->low, stage.final_torque->high, unit)),
        nominal, edge);
  }

  void recheck(const StagePrediction& stage) {
    if (stage.kind != StageKind::recheck || !yields_) return;
    add("recheck-past-yield", &stage,
        "the bolt may be past its yield point: a torque says nothing there, and turning it on uses it up",
        stage.preload ? std::optional(value_in(stage.preload->nominal, units::newton)) : std::nullopt,
        value_in(*p_.yield_preload, units::newton));
  }

  // An assembly that is meant to stay elastic and hardly does, or ends in the knee.
  void thin_margin() {
    const auto last = std::find_if(p_.stages.rbegin(), p_.stages.rend(), [](const StagePrediction& s) {
      return s.kind != StageKind::loosen && s.utilisation;
    });
    if (last == p_.stages.rend() || !last->yields || last->yields == Yields::certain ||
        *last->utilisation < kThinMargin)
      return;
    if (std::any_of(p_.stages.begin(), p_.stages.end(),
                    [](const StagePrediction& s) { return s.yields == Yields::certain; }))
      return;
    add("thin-margin", &*last,
        fmt::format(
            "{} % of the least yield strength; VDI 2230 assembles at {} %, so that scatter stays below yield",
            format_number(*last->utilisation * 100), format_number(kThinMargin * 100)),
        *last->utilisation, kThinMargin);
  }

  void implausible() {
    if (!p_.yield_preload || p_.stages.empty()) return;
    const StagePrediction& last = p_.stages.back();
    if (last.kind == StageKind::loosen || !last.utilisation) return;
    const double limit = kPlausible * value_in(*p_.yield_preload, units::newton);
    if (!last.preload) {
      if (last.broken_share > 0)
        add("implausible-figure", &last,
            fmt::format("these figures break the bolt ({}); are they for another size or strength?",
                        f_.thread),
            1, kBroken);
    } else if (value_in(last.preload->nominal, units::newton) < limit) {
      add("implausible-figure", &last,
          fmt::format("leaves only {}, less than a quarter of the yield preload {}; is the figure for this "
                      "bolt, and in this unit?",
                      force(last.preload->nominal), force(*p_.yield_preload)),
          value_in(last.preload->nominal, units::newton), limit);
    }
  }

  // What the strongest bolt may pull: the 95 % point, and past yield 1.4 of the assembly preload (VDI 2230).
  [[nodiscard]] std::optional<Force> most_preload() const {
    std::optional<Force> most;
    for (const StagePrediction& stage : p_.stages)
      if (stage.preload) most = std::max(most.value_or(Force()), stage.preload->p95);
    if (most && yields_ && bolt_.used && bolt_.used->thread)
      most = std::max(*most, joint::kStrongestPreload *
                                 joint::assembly_preload(bolt_.thread.thread, bolt_.strength->yield,
                                                         joint::ThreadFriction(bolt_.used->nominal_thread)));
    return most;
  }

  // The part below the head, or below a hard washer that spreads the load.
  void seat(Force most) {
    const schedule::Joint* joint = schedule_.joint_of(f_);
    if (joint == nullptr || joint->layers.empty() || joint->layers.front().material.empty() ||
        !bolt_.seat_outer || !bolt_.hole)
      return;
    Length outer = *bolt_.seat_outer;
    if (f_.washer && f_.washer->hard)
      outer = joint::seat_under_washer(outer, units::to<Length>(f_.washer->outer),
                                       units::to<Length>(f_.washer->thickness));
    const auto material = joint::find_material(joint->layers.front().material);
    const auto pressure = joint::seat_pressure(most, outer, *bolt_.hole);
    if (pressure <= material->seat_pressure) return;
    add("seat-crushes", nullptr,
        fmt::format("up to {} under the head; {} ({}) bears {} (VDI 2230); a hard washer spreads the load",
                    stress(pressure), joint->layers.front().material, material->grade,
                    stress(material->seat_pressure)),
        value_in(pressure, units::megapascal), value_in(material->seat_pressure, units::megapascal));
  }

  void engagement(Force most) {
    const schedule::Joint* joint = schedule_.joint_of(f_);
    if (joint == nullptr || !joint->into || joint->into->nut || joint->into->material.empty() ||
        !f_.engagement)
      return;
    const auto material = joint::find_material(joint->into->material);
    const auto strip =
        joint::check_stripping(bolt_.thread.thread, bolt_.strength->tensile,
                               {material->tensile, material->shear_ratio}, units::to<Length>(*f_.engagement));
    const Force holds = std::min(strip.internal, strip.external);
    if (holds < most) {
      add("hole-strips", nullptr,
          fmt::format("the thread in {} ({}) strips at {}, and these stages may pull {}",
                      joint->into->material, material->grade, force(holds), force(most)),
          value_in(holds, units::newton), value_in(most, units::newton));
    } else if (strip.safety < 1) {
      add("short-engagement", nullptr,
          fmt::format(
              "{} of thread in {} ({}) strip before the strongest bolt breaks; {} would not (VDI 2230)",
              units::format(*f_.engagement), joint->into->material, material->grade, length(strip.needed)),
          f_.engagement->in(units::millimetre_unit()), value_in(strip.needed, units::millimetre));
    }
  }

  // Past yield the free thread takes the lengthening, unless a waist does.
  void free_thread() {
    if (!yields_ || !bolt_.geometry) return;
    const double d = value_in(bolt_.thread.thread.diameter(), units::millimetre);
    const double stress_diameter = value_in(bolt_.thread.thread.stress_diameter(), units::millimetre);
    double free = value_in(joint::free_thread(*bolt_.geometry), units::millimetre);
    for (const joint::ShankPiece& piece : bolt_.geometry->shank)
      if (value_in(piece.diameter, units::millimetre) <= stress_diameter)
        free += value_in(piece.length, units::millimetre);
    if (free >= kFreeThread * d) return;
    add("short-free-thread", nullptr,
        fmt::format("only {} of the bolt can lengthen past yield (free thread and waist); {}, one "
                    "diameter, is the least (common practice)",
                    length(units::of(free, units::millimetre)),
                    length(units::of(kFreeThread * d, units::millimetre))),
        free, kFreeThread * d);
  }

  const Schedule& schedule_;
  const FastenerPrediction& p_;
  const Fastener& f_;
  BoltModel bolt_;
  bool imperial_;
  bool yields_ = false;
  bool near_break_ = false;
  std::vector<Caution> out_;
};

}  // namespace

std::vector<Caution> number_cautions(const Schedule& schedule,
                                     const std::vector<FastenerPrediction>& predictions) {
  std::vector<Caution> out;
  for (const FastenerPrediction& p : predictions)
    for (Caution& caution : Finder(schedule, p).find()) out.push_back(std::move(caution));
  return out;
}

}  // namespace clampbook::plan
