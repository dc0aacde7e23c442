#include <clampbook/plan/cautions.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace clampbook::plan {

using schedule::Fastener;
using schedule::Lubricant;
using schedule::Schedule;
using schedule::Stage;

namespace {

std::optional<double> nominal(const Lubricant& l) {
  if (l.nut_factor) return l.nut_factor->nominal;
  if (l.thread) return l.thread->nominal;
  return std::nullopt;
}

class Finder {
 public:
  explicit Finder(const Schedule& schedule) : schedule_(schedule) {}

  std::vector<Caution> find() {
    for (const Stage& stage : schedule_.stages) {
      hearsay(stage);
      disagreement(stage);
      written_for(stage);
    }
    for (const Fastener& f : schedule_.fasteners) {
      lubricant(f);
      if (f.reuse.kind == schedule::ReuseKind::never)
        add("single-use", f.name, {},
            fmt::format("{}: single use; fit new bolts, and never these again", f.name), {}, {});
      if (!f.treated.empty())
        add("history-unknown", f.name, {},
            fmt::format("{}: treated ({}); strength and friction may no longer be those of its class", f.name,
                        f.treated),
            {}, {});
      bottoms(f);
    }
    return std::move(out_);
  }

 private:
  void add(std::string slug, std::optional<std::string> fastener, std::optional<int> stage, std::string text,
           std::optional<double> have, std::optional<double> limit) {
    out_.push_back({std::move(slug), std::move(fastener), stage, std::move(text), have, limit});
  }

  [[nodiscard]] std::string heading(const Stage& stage) const {
    const std::string figure = stage.target ? " " + units::format(stage.target->nominal) : "";
    return fmt::format("stage {} ({}{})", stage.number, schedule::name(stage.kind), figure);
  }

  void hearsay(const Stage& stage) {
    if (stage.sources.empty()) return;
    const bool only = std::all_of(stage.sources.begin(), stage.sources.end(), [&](const std::string& name) {
      return schedule_.find_source(name)->standing == schedule::Standing::hearsay;
    });
    if (!only) return;
    const std::string& text = schedule_.find_source(stage.sources.front())->text;
    add("hearsay-only", {}, stage.number,
        fmt::format("{}: the figure rests on hearsay alone ({}); look for the maker's", heading(stage), text),
        {}, {});
  }

  // Two sources disagree when their figures are more than 2 % of the larger apart, as for doubled figures.
  void disagreement(const Stage& stage) {
    if (stage.says.size() < 2) return;
    const auto value = [](const schedule::Saying& s) { return s.figure.nominal.machine_value(); };
    const auto [low, high] =
        std::minmax_element(stage.says.begin(), stage.says.end(),
                            [&](const auto& a, const auto& b) { return value(a) < value(b); });
    if (value(*high) - value(*low) <= 0.02 * value(*high) * (1 + 1e-9)) return;
    std::string list;
    for (const schedule::Saying& s : stage.says)
      list += fmt::format("{}{} says {} ({})", list.empty() ? "" : ", ", s.source,
                          units::format(s.figure.nominal),
                          schedule::name(schedule_.find_source(s.source)->standing));
    add("sources-disagree", {}, stage.number,
        fmt::format("{}: {}; settle it before you start", heading(stage), list), value(*high), value(*low));
  }

  void written_for(const Stage& stage) {
    if (!stage.written_for) return;
    std::set<std::size_t> fasteners;
    for (const std::size_t bolt : stage.bolts) fasteners.insert(schedule_.bolts[bolt].fastener);
    for (const std::size_t index : fasteners) {
      const Fastener& f = schedule_.fasteners[index];
      const schedule::WrittenFor& w = *stage.written_for;
      if (w.strength && *w.strength != f.strength.designation)
        add("fastener-differs", f.name, stage.number,
            fmt::format("{}: the figure was written for strength {}, {} has {}", heading(stage), *w.strength,
                        f.name, f.strength.text()),
            {}, {});
      if (w.thread && *w.thread != f.thread)
        add("fastener-differs", f.name, stage.number,
            fmt::format("{}: the figure was written for thread {}, {} has {}", heading(stage), *w.thread,
                        f.name, f.thread),
            {}, {});
      const schedule::Lubrication* l = schedule_.lubrication(f);
      if (w.lubricant && l != nullptr && l->used && l->used->given != *w.lubricant)
        add("lubricant-differs", f.name, stage.number,
            fmt::format("{}: the figure was written for {}, on {} is {}", heading(stage), *w.lubricant,
                        f.name, l->used->given),
            nominal(*l->used), {});
    }
  }

  void lubricant(const Fastener& f) {
    const schedule::Lubrication* l = schedule_.lubrication(f);
    if (l == nullptr || !l->stated || !l->used || !lubricants_differ(*l->stated, *l->used)) return;
    add("lubricant-differs", f.name, {},
        fmt::format(
            "{}: the torques assume {}, but the bolts carry {}; the same torque gives another clamp load",
            f.name, l->stated->given, l->used->given),
        nominal(*l->used), nominal(*l->stated));
  }

  void bottoms(const Fastener& f) {
    if (!f.length || !f.grip || !f.hole_depth) return;
    const double reach = (f.length->si() - f.grip->si()) * 1e3, depth = f.hole_depth->si() * 1e3;
    if (reach < depth * (1 - 1e-9)) return;
    add("bottoms", f.name, {},
        fmt::format("{}: the bolt reaches {} mm into a hole {} mm deep; it bottoms and clamps nothing",
                    f.name, units::format_number(reach), units::format_number(depth)),
        reach, depth);
  }

  const Schedule& schedule_;
  std::vector<Caution> out_;
};

}  // namespace

std::vector<Caution> file_cautions(const Schedule& schedule) {
  return Finder(schedule).find();
}

std::vector<Caution> find_cautions(const Schedule& schedule,
                                   const std::vector<FastenerPrediction>& predictions) {
  std::vector<Caution> out = file_cautions(schedule);
  for (Caution& caution : number_cautions(schedule, predictions)) out.push_back(std::move(caution));
  return out;
}

}  // namespace clampbook::plan
