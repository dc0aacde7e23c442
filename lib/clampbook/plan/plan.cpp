#include <clampbook/joint/thread_name.h>
#include <clampbook/plan/order.h>
#include <clampbook/plan/plan.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <unordered_map>

namespace clampbook::plan {

using schedule::Fastener;
using schedule::Schedule;
using schedule::Stage;
using schedule::Tolerance;
using schedule::Window;
using units::Dimension;

std::string stage_text(const schedule::Stage& stage) {
  std::string out(schedule::name(stage.kind));
  if (stage.wait) return out + " " + units::format(*stage.wait);
  if (schedule::is_gate(stage.kind)) return out + ": " + stage.text;
  if (stage.target) return out + " " + units::format(stage.target->nominal);
  if (stage.yield_share) return out + fmt::format(" {} %", units::format_number(*stage.yield_share * 100));
  return out + " " + std::string(schedule::row(stage.kind).without_figure);
}

Measured Step::tightening_part(const Measured& read) const {
  if (!prevailing || read.dimension() != Dimension::torque) return read;
  return {read.number() - prevailing->in(read.unit()), read.unit()};
}

std::optional<Dimension> Step::reading_dimension() const {
  // What is snugged by hand has no reading.
  if (kind == StageKind::snug && !target) return std::nullopt;
  return schedule::row(kind).reading;
}

std::optional<Tolerance> assumed_tolerance(StageKind kind, const Measured& target) {
  const auto around = [](const Measured& amount) { return Tolerance{amount, amount}; };
  const schedule::AssumedTolerance& assumed = schedule::row(kind).tolerance;
  if (assumed.degrees > 0) return around(Measured(assumed.degrees, units::degree_unit()));
  if (assumed.percent == 0) return std::nullopt;
  const bool small = assumed.percent_small > 0 && target.in(units::newton_metre_unit()) <= 10 * (1 + 1e-9);
  return around(Measured(small ? assumed.percent_small : assumed.percent, units::percent_unit()));
}

namespace {

bool is_left_hand(const std::string& designation) {
  const auto thread = joint::find_thread(designation);
  return thread && thread->thread.left_hand();
}

struct Figures {
  std::optional<Measured> target, low, high;
  bool assumed = false;
};

Figures figures_of(const schedule::Target& target, const std::optional<Tolerance>& written, StageKind kind) {
  Figures out{target.nominal, target.low, target.high, false};
  if (out.low) return out;
  const std::optional<Tolerance> tolerance = written ? written : assumed_tolerance(kind, target.nominal);
  out.assumed = !written && tolerance;
  if (tolerance) {
    const Window window = schedule::window_of(target.nominal, *tolerance);
    out.low = window.low;
    out.high = window.high;
  }
  return out;
}

// "30 N·m (28.8..31.2 N·m, assumed)"
std::string figure_text(const Figures& f) {
  if (!f.target) return {};
  std::string out = units::format(*f.target);
  if (f.low && f.high)
    out += fmt::format(" ({}{})", units::format_range(*f.low, *f.high, f.target->unit()),
                       f.assumed ? ", assumed" : "");
  return out;
}

class Planner {
 public:
  Planner(const Schedule& schedule, const std::vector<std::size_t>& only)
      : schedule_(schedule), only_(schedule.bolts.size(), only.empty()) {
    for (const std::size_t bolt : only) only_[bolt] = true;
    for (std::size_t i = 0; i < only_.size(); ++i)
      for (const std::string& name : {schedule.bolts[i].id, schedule.bolts[i].group})
        bolts_on_[name] = bolts_on_[name] || only_[i];
  }

  Plan plan() {
    plan_.title = schedule_.title;
    plan_.machine = schedule_.machine;
    plan_.notice = schedule_.notice;
    plan_.view = schedule_.view;
    for (const schedule::Bolt& bolt : schedule_.bolts)
      plan_.bolts.push_back({bolt.id, schedule_.fasteners[bolt.fastener].name, bolt.group, bolt.x, bolt.y});
    for (const Fastener& f : schedule_.fasteners)
      plan_.fasteners.push_back({f.name, f.reuse, is_left_hand(f.thread)});
    order_stages();
    if (schedule_.by == schedule::Completion::group) {
      plan_by_group();
    } else {
      for (std::size_t s = 0; s < schedule_.stages.size(); ++s) add_stage(s, nullptr, true);
    }
    return std::move(plan_);
  }

 private:
  void order_stages();
  void plan_by_group();
  void add_stage(std::size_t s, const std::string* group, bool first_group);
  void add_bolt_step(const Stage& stage, std::size_t bolt);
  void add_gate_steps(const Stage& stage, const std::string* group, bool first_group);
  [[nodiscard]] bool is_on(const std::string& label) const;
  void add_gate(const Stage& stage, std::optional<std::string> label, bool counts);
  Figures figures(const Stage& stage, std::size_t bolt) const;
  std::vector<std::size_t> ordered(const schedule::OrderRule& rule, const std::vector<std::size_t>& bolts);
  [[nodiscard]] std::vector<std::string> ids(const std::vector<std::size_t>& bolts) const;
  void number(Step step, bool kept);

  const Schedule& schedule_;
  std::vector<bool> only_;                            // per bolt: has it steps in this plan?
  std::unordered_map<std::string, bool> bolts_on_{};  // by id or group: has one of these bolts?
  std::vector<std::vector<std::size_t>> stage_order_;
  std::map<std::pair<std::string, std::vector<std::size_t>>, std::vector<std::size_t>> known_orders_;
  Plan plan_;
  int next_ = 1;
};

std::vector<std::string> Planner::ids(const std::vector<std::size_t>& bolts) const {
  std::vector<std::string> out;
  out.reserve(bolts.size());
  for (const std::size_t bolt : bolts) out.push_back(schedule_.bolts[bolt].id);
  return out;
}

// Most stages run over the same bolts by the same rule: order them once.
std::vector<std::size_t> Planner::ordered(const schedule::OrderRule& rule,
                                          const std::vector<std::size_t>& bolts) {
  if (rule.kind == schedule::OrderKind::explicit_list || rule.kind == schedule::OrderKind::listed)
    return order_bolts(schedule_, rule, bolts);
  const auto key = std::make_pair(rule.text(), bolts);
  if (const auto found = known_orders_.find(key); found != known_orders_.end()) return found->second;
  return known_orders_[key] = order_bolts(schedule_, rule, bolts);
}

void Planner::order_stages() {
  for (const Stage& stage : schedule_.stages) {
    schedule::OrderRule rule = stage.order ? *stage.order : schedule_.order;
    if (stage.reverse) rule.reverse = !rule.reverse;
    std::vector<std::size_t> order;
    if (schedule_.by == schedule::Completion::group && !stage.order) {
      for (const std::string& group : schedule_.groups()) {
        std::vector<std::size_t> members;
        for (const std::size_t bolt : stage.bolts)
          if (schedule_.bolts[bolt].group == group) members.push_back(bolt);
        const std::vector<std::size_t> part = ordered(rule, members);
        order.insert(order.end(), part.begin(), part.end());
      }
    } else {
      order = ordered(rule, stage.bolts);
    }
    PlanStage listed;
    listed.stage = stage.number;
    if (!stage.name.empty()) listed.name = stage.name;
    listed.kind = stage.kind;
    listed.bolts = ids(stage.bolts);
    listed.order = ids(order);
    plan_.stages.push_back(std::move(listed));
    stage_order_.push_back(std::move(order));
  }
  std::vector<std::size_t> all(schedule_.bolts.size());
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
  if (schedule_.by == schedule::Completion::group) {
    for (const std::string& group : schedule_.groups()) {
      std::vector<std::size_t> members;
      for (const std::size_t bolt : all)
        if (schedule_.bolts[bolt].group == group) members.push_back(bolt);
      for (std::string& id : ids(ordered(schedule_.order, members))) plan_.order.push_back(std::move(id));
    }
  } else {
    plan_.order = ids(ordered(schedule_.order, all));
  }
}

// Gates before the first bolt stage and after the last one stand alone; those between belong to the run of
// each group, because a wait or a mark in the middle holds for the bolts that are being tightened.
void Planner::plan_by_group() {
  const auto on_bolts = [](const Stage& stage) { return !schedule::is_gate(stage.kind); };
  const auto first =
      std::find_if(schedule_.stages.begin(), schedule_.stages.end(), on_bolts) - schedule_.stages.begin();
  const auto last =
      schedule_.stages.rend() - std::find_if(schedule_.stages.rbegin(), schedule_.stages.rend(), on_bolts);
  const auto from = static_cast<std::size_t>(first), to = std::max(from, static_cast<std::size_t>(last));
  for (std::size_t s = 0; s < from; ++s) add_stage(s, nullptr, true);
  bool first_group = true;
  for (const std::string& group : schedule_.groups()) {
    for (std::size_t s = from; s < to; ++s) add_stage(s, &group, first_group);
    first_group = false;
  }
  for (std::size_t s = to; s < schedule_.stages.size(); ++s) add_stage(s, nullptr, true);
}

void Planner::add_stage(std::size_t s, const std::string* group, bool first_group) {
  const Stage& stage = schedule_.stages[s];
  if (schedule::is_gate(stage.kind)) {
    add_gate_steps(stage, group, first_group);
    plan_.stages[s].text = stage_text(stage);
    return;
  }
  for (const std::size_t bolt : stage_order_[s])
    if (group == nullptr || schedule_.bolts[bolt].group == *group) add_bolt_step(stage, bolt);
  plan_.stages[s].text = stage_text(stage);
}

Figures Planner::figures(const Stage& stage, std::size_t bolt) const {
  if (stage.target) return figures_of(*stage.target, stage.tolerance, stage.kind);
  if (stage.yield_share) return {Measured(*stage.yield_share, units::one_unit()), {}, {}, false};
  if (!stage.same_torque) return {};
  const Stage* last = schedule_.torque_stage_before(stage, bolt);
  if (last == nullptr) return {};  // the reader has refused such a schedule
  return figures_of(*last->target, last->tolerance, last->kind);
}

std::string bolt_text(const Stage& stage, const std::string& id, const Figures& f) {
  const schedule::StageKindRow& kind = schedule::row(stage.kind);
  const bool has_figure = f.target || kind.sentence_without_figure.empty();
  const std::string figure =
      stage.yield_share ? units::format_number(*stage.yield_share * 100) + " %" : figure_text(f);
  return fmt::format(fmt::runtime(has_figure ? kind.sentence : kind.sentence_without_figure),
                     fmt::arg("bolt", id), fmt::arg("figure", figure));
}

void Planner::add_bolt_step(const Stage& stage, std::size_t bolt) {
  const Fastener& fastener = schedule_.fasteners[schedule_.bolts[bolt].fastener];
  const Figures f = figures(stage, bolt);
  Step step;
  step.stage = stage.number;
  if (!stage.name.empty()) step.stage_name = stage.name;
  step.kind = stage.kind;
  step.bolt = schedule_.bolts[bolt].id;
  step.target = f.target;
  step.low = f.low;
  step.high = f.high;
  step.assumed = f.assumed;
  // Whatever torque is read on the bolt, the target's, a final one or a breakaway, some of it turns the lock
  // nut.
  if (fastener.prevailing_torque && fastener.prevailing_torque->number() > 0)
    step.prevailing = fastener.prevailing_torque;
  if (f.target && f.target->dimension() == Dimension::torque) {
    step.setting = f.target;
    if (step.prevailing)
      step.setting = Measured(f.target->number() + step.prevailing->in(f.target->unit()), f.target->unit());
  }
  if (stage.final_torque) {
    const Figures final = figures_of(*stage.final_torque, {}, StageKind::torque);
    step.final_torque = Window{*final.low, *final.high};
  }
  step.text = bolt_text(stage, *step.bolt, f);
  if (step.final_torque)
    step.text += fmt::format(
        ", final torque {}",
        units::format_range(step.final_torque->low, step.final_torque->high, step.final_torque->high.unit()));
  number(std::move(step), only_[bolt]);
}

// A label that names a bolt or a group is for those bolts, and waits until one of them is on.
bool Planner::is_on(const std::string& label) const {
  const auto found = bolts_on_.find(label);
  return found == bolts_on_.end() || found->second;
}

void Planner::add_gate_steps(const Stage& stage, const std::string* group, bool first_group) {
  if (stage.each_bolt) {
    std::vector<std::size_t> all(schedule_.bolts.size());
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = i;
    for (std::size_t bolt : ordered(schedule_.order, all))
      if (group == nullptr || schedule_.bolts[bolt].group == *group)
        add_gate(stage, schedule_.bolts[bolt].id, only_[bolt]);
  } else if (!stage.each.empty()) {
    const std::vector<std::string> groups = schedule_.groups();
    for (const std::string& label : stage.each) {
      const bool named = std::find(groups.begin(), groups.end(), label) != groups.end();
      if (group == nullptr || (named ? label == *group : first_group)) add_gate(stage, label, is_on(label));
    }
  } else if (group != nullptr) {
    add_gate(stage, *group, is_on(*group));
  } else {
    add_gate(stage, std::nullopt, true);
  }
}

std::string bounds_text(const Stage& stage) {
  if (stage.low && stage.high)
    return fmt::format(" ({})", units::format_range(*stage.low, *stage.high, stage.high->unit()));
  if (stage.low) return fmt::format(" (at least {})", units::format(*stage.low));
  if (stage.high) return fmt::format(" (at most {})", units::format(*stage.high));
  return {};
}

std::string gate_text(const Stage& stage) {
  std::string out(schedule::row(stage.kind).sentence);
  out += stage.wait ? units::format(*stage.wait) : stage.text;
  if (stage.expect) out += fmt::format(" ({} expected)", *stage.expect);
  return out + bounds_text(stage);
}

void Planner::add_gate(const Stage& stage, std::optional<std::string> label, bool counts) {
  Step step;
  step.stage = stage.number;
  if (!stage.name.empty()) step.stage_name = stage.name;
  step.kind = stage.kind;
  step.label = std::move(label);
  step.text = step.label ? fmt::format("{}: {}", *step.label, gate_text(stage)) : gate_text(stage);
  step.low = stage.low;
  step.high = stage.high;
  step.expect = stage.expect;
  if (stage.wait) step.wait_s = stage.wait->si();
  number(std::move(step), counts);
}

void Planner::number(Step step, bool kept) {
  step.step = next_++;
  if (kept) plan_.steps.push_back(std::move(step));
}

}  // namespace

units::System Plan::written_in() const {
  units::TorqueTally tally;
  for (const Step& step : steps)
    if (step.target) tally.add(*step.target);
  return tally.most().value_or(units::System::metric);
}

bool Plan::left_hand(const Step& step) const {
  const auto is_left = [](const PlanFastener& f) { return f.left_hand; };
  if (!step.bolt || std::none_of(fasteners.begin(), fasteners.end(), is_left)) return false;
  const auto bolt =
      std::find_if(bolts.begin(), bolts.end(), [&](const PlanBolt& b) { return b.id == *step.bolt; });
  return bolt != bolts.end() && std::any_of(fasteners.begin(), fasteners.end(), [&](const PlanFastener& f) {
           return f.left_hand && f.name == bolt->fastener;
         });
}

Plan make_plan(const Schedule& schedule, const std::vector<std::size_t>& only) {
  return Planner(schedule, only).plan();
}

}  // namespace clampbook::plan
