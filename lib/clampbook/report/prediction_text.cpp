#include <clampbook/report/figures.h>
#include <clampbook/report/prediction_text.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace clampbook::report {

using plan::Estimate;
using plan::FastenerPrediction;
using plan::StageKind;
using plan::StagePrediction;
using plan::Yields;
using text::printable;
using units::format_number;
using units::value_in;

namespace {

class Writer {
 public:
  Writer(const schedule::Schedule& schedule, const TextStyle& style)
      : schedule_(schedule), style_(style), figures_(style) {}

  std::string write(const std::vector<FastenerPrediction>& predictions,
                    const std::vector<plan::Caution>& cautions) {
    line(printable(schedule_.title) + ": what the stages do to the bolts");
    if (!schedule_.machine.empty()) line(printable(schedule_.machine));
    if (!schedule_.notice.empty()) line(printable(schedule_.notice));
    for (const FastenerPrediction& p : predictions) fastener(p);
    if (!cautions.empty()) {
      out_ += "\nCautions\n";
      for (const plan::Caution& c : cautions) line(fmt::format("! {} [{}]", printable(c.text), c.slug));
    }
    conventions();
    return std::move(out_);
  }

 private:
  void line(std::string_view text, std::size_t indent = 0) {
    out_ += wrapped(text, style_.width, indent, indent + 2) + "\n";
  }

  void fastener(const FastenerPrediction& p) {
    const schedule::Fastener& f = schedule_.fasteners[p.fastener];
    const schedule::Lubrication* l = schedule_.lubrication(f);
    out_ += "\n";
    std::string heading = fmt::format("{}: {}, strength {}", printable(p.name), printable(f.thread),
                                      printable(f.strength.text()));
    if (l != nullptr && (l->used || l->stated))
      heading += ", " + printable(l->used ? l->used->given : l->stated->given);
    line(heading);
    limits(p);
    for (const StagePrediction& s : p.stages) stage(p, s);
    out_ += "\n";
    angles(p);
    if (p.settled_preload)
      line(fmt::format("after the faces have bedded in (medium roughness): {}",
                       figures_.force(*p.settled_preload)),
           2);
    lubricants(p, l);
    scatter(p);
    if (!p.missing.empty())
      line(fmt::format("not computed, because the schedule does not say: {}", fmt::join(p.missing, ", ")), 2);
  }

  void limits(const FastenerPrediction& p) {
    std::string text;
    if (p.yield_preload)
      text += fmt::format("yields from {} while it is turned; ", figures_.force(*p.yield_preload));
    if (p.proof_load) text += fmt::format("proof load {}, ", figures_.force(*p.proof_load));
    text += fmt::format("breaking load {} (pull alone, least strength)", figures_.force(*p.breaking_load));
    line(text, 2);
    if (p.bolt_stiffness && p.joint_stiffness)
      line(fmt::format("the bolt gives {}, the parts {}; nut factor {}",
                       figures_.stiffness(*p.bolt_stiffness), figures_.stiffness(*p.joint_stiffness),
                       p.nut_factor ? format_number(std::round(*p.nut_factor * 1000) / 1000)
                                    : std::string("not known")),
           2);
    else if (p.nut_factor)
      line(fmt::format("nut factor {}", format_number(std::round(*p.nut_factor * 1000) / 1000)), 2);
  }

  void stage(const FastenerPrediction& p, const StagePrediction& s) {
    out_ += "\n";
    line(fmt::format("Stage {}: {}", s.stage, printable(s.text)), 2);
    if (s.preload) {
      line("clamp load " + figures_.force(*s.preload), 4);
      out_ += "    " + bar(p, *s.preload) + "\n";
    } else if (s.broken_share > 0) {
      line("past the breaking load: no clamp load is left", 4);
    } else {
      line("clamp load not known", 4);
    }
    std::string text;
    if (s.torque) text += fmt::format("torque {}", figures_.torque(*s.torque));
    if (s.utilisation)
      text += fmt::format("{}{} % of the least yield strength", text.empty() ? "" : "; ",
                          format_number(std::round(*s.utilisation * 100)));
    if (s.yields) text += "; " + yields(s);
    if (s.preload && s.broken_share > 0)
      text += fmt::format("; may break ({} % of the samples; the clamp load is that of the others)",
                          format_number(std::round(s.broken_share * 1000) / 10));
    if (s.growth && *s.growth > joint::Length())
      text += fmt::format("; lasting growth {}, {} % of what it takes before it breaks",
                          figures_.length(*s.growth),
                          format_number(std::round(s.growth_share.value_or(0) * 1000) / 10));
    if (!text.empty()) line(text, 4);
    sources(p, s);
  }

  static std::string yields(const StagePrediction& s) {
    if (*s.yields == Yields::never) return "does not yield";
    if (*s.yields == Yields::certain) return "yields for certain";
    return fmt::format("may yield ({} % of the samples)",
                       format_number(std::round(s.yield_share * 1000) / 10));
  }

  // p5 to p95 on a scale from nothing to the breaking load, with yield and proof.
  std::string bar(const FastenerPrediction& p, const Estimate<joint::Force>& e) const {
    constexpr std::size_t kWidth = 60;
    const double full = value_in(*p.breaking_load, units::newton);
    const auto at = [&](joint::Force f) {
      return std::min(
          static_cast<std::size_t>(std::lround(std::max(0.0, value_in(f, units::newton) / full) * kWidth)),
          kWidth);
    };
    std::vector<std::string> cells(kWidth + 1, style_.ascii ? "." : "·");
    for (std::size_t i = at(e.p5); i <= at(e.p95); ++i) cells[i] = "=";
    cells[at(e.nominal)] = "#";
    if (p.yield_preload) cells[at(*p.yield_preload)] = "Y";
    if (p.proof_load) cells[at(*p.proof_load)] = "P";
    cells[kWidth] = "B";
    std::string out;
    for (const std::string& cell : cells) out += cell;
    return out;
  }

  void angles(const FastenerPrediction& p) {
    if (!p.elastic_limit_angle) return;
    double turned = 0;
    for (const StagePrediction& s : p.stages)
      if (s.kind == StageKind::angle)
        for (const schedule::Stage& stage : schedule_.stages)
          if (stage.number == s.stage) turned += stage.target->nominal.in(units::degree_unit());
    const Estimate<joint::Angle>& e = *p.elastic_limit_angle;
    const double limit = value_in(e.nominal, units::degree);
    std::string text = fmt::format(
        "from the last torque the bolt stays elastic for {:.0f}° with the least strength (90 % between "
        "{:.0f}° and {:.0f}°, strength as it usually is)",
        limit, value_in(e.p5, units::degree), value_in(e.p95, units::degree));
    if (turned > 0)
      text += turned > limit
                  ? fmt::format("; the angles turn it {:.0f}°, {:.0f}° beyond", turned, turned - limit)
                  : fmt::format("; the angles turn it {:.0f}°, {:.0f}° are left", turned, limit - turned);
    line(text, 2);
  }

  void lubricants(const FastenerPrediction& p, const schedule::Lubrication* l) {
    bool first = true;
    for (const StagePrediction& s : p.stages) {
      if (!s.same_preload_torque || !s.stated_preload || !s.preload) continue;
      if (std::exchange(first, false))
        line(fmt::format("the figures assume {}, on the bolts is {}:", printable(l->stated->given),
                         printable(l->used->given)),
             2);
      line(fmt::format("stage {}: {} was meant to give {}; on these bolts it gives {}; the same clamp load "
                       "would take {}",
                       s.stage, printable(s.text), figures_.force(*s.stated_preload),
                       figures_.force(*s.preload), figures_.torque(*s.same_preload_torque)),
           4);
    }
    if (!first)
      line(
          "the target is not altered here: which figure to use is for you and the maker. An angle does not "
          "change with the lubricant, but the torque it starts from does.",
          4);
  }

  // What the figures of several sources would give.
  void sources(const FastenerPrediction& p, const StagePrediction& s) {
    const auto stage = std::find_if(schedule_.stages.begin(), schedule_.stages.end(),
                                    [&](const schedule::Stage& other) { return other.number == s.stage; });
    if (stage->says.size() < 2 || !s.preload || !s.torque || stage->kind == StageKind::angle ||
        stage->kind == StageKind::stretch)
      return;
    const units::LeverArm lever = s.torque->nominal / s.preload->nominal;
    for (const schedule::Saying& saying : stage->says) {
      const joint::Torque torque = units::to<joint::Torque>(saying.figure.nominal);
      const joint::Force force = torque / lever;
      std::string text = fmt::format("{} says {}: {}", printable(saying.source),
                                     units::format(saying.figure.nominal), figures_.force(force));
      if (p.yield_preload)
        text += fmt::format(", {} % of the yield preload",
                            format_number(std::round(force / *p.yield_preload * 100)));
      line(text, 4);
    }
  }

  void scatter(const FastenerPrediction& p) {
    std::string text;
    for (const plan::Contribution& c : p.contributions) {
      if (c.share < 0.03) break;
      text += fmt::format("{}{} {:.0f} %", text.empty() ? "of the scatter in the end: " : ", ", c.source,
                          c.share * 100);
    }
    if (!text.empty()) line(text, 2);
  }

  void conventions() {
    out_ += "\n";
    line(
        "How to read this: # is the figure at nominal friction and the least strength of the class; = spans "
        "5 % to 95 % of the samples; Y yields while it is turned "
        "(von Mises, pull and twist, plastic torsion modulus), P proof load, B breaking load. Stiffness is "
        "good to 5 to 10 %, and with it every elastic angle.");
    out_ += standing_cautions(style_.width);
  }

  const schedule::Schedule& schedule_;
  const TextStyle& style_;
  Figures figures_;
  std::string out_;
};

}  // namespace

std::string prediction_text(const schedule::Schedule& schedule,
                            const std::vector<FastenerPrediction>& predictions,
                            const std::vector<plan::Caution>& cautions, const TextStyle& style) {
  return Writer(schedule, style).write(predictions, cautions);
}

}  // namespace clampbook::report
