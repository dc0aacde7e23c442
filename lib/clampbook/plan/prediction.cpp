#include <clampbook/joint/head.h>
#include <clampbook/joint/nut_factor.h>
#include <clampbook/joint/settling.h>
#include <clampbook/joint/torque.h>
#include <clampbook/joint/wrench.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/plan/tightening_case.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <memory>
#include <numeric>
#include <unordered_map>

namespace clampbook::plan {

using joint::Angle;
using joint::Force;
using joint::LeverArm;
using joint::TighteningGeometry;
using joint::TighteningModel;
using joint::Torque;
using schedule::Schedule;

std::string_view name(Yields yields) {
  switch (yields) {
    case Yields::never:
      return "never";
    case Yields::possible:
      return "possible";
    case Yields::certain:
      break;
  }
  return "certain";
}

namespace {

// Scatter that no schedule says (docs/accuracy.md; common practice, on the synthetic joints of that page).
constexpr double kFrictionCorrelation = 0.3;  // of thread and seat: one batch, one pair of hands
constexpr double kWrenchRepeat = 0.01;        // from bolt to bolt, besides the calibration
constexpr double kStiffness = 0.04;           // of bolt and parts together
constexpr double kStart = 0.05;               // of the force from which an angle is turned
constexpr double kStrengthExcess = 1.05;      // a lot's usual strength over the class's least
constexpr double kStrength = 0.03;
constexpr std::uint64_t kSeed = 20260504;
constexpr double kLeastShare = 0.001;  // below that a reading is taken for a bolt that doesn't tighten
constexpr double kLeastFactor = 0.05;  // of a wrench in a sample far out: shown torques stay finite

enum Input : std::size_t {
  thread_friction,
  seat_friction,
  calibration,
  stiffness,
  strength,
  start,
  stated_thread,
  stated_seat,
  first_stage
};

std::string_view label(std::size_t input, const std::vector<StageAction>& actions) {
  switch (input) {
    case thread_friction:
    case seat_friction:
      return "friction";
    case calibration:
      return "the wrench";
    case stiffness:
      return "stiffness of bolt and parts";
    case strength:
      return "strength of the bolt";
    case start:
      return "the force at the start of the angle";
    default:
      break;
  }
  if (input < first_stage) return "";
  const StageAction& action = actions[input - first_stage];
  return action.torque ? "the wrench" : action.stretch ? "the stretch reading" : "the angle";
}

// A joint that no result depends on, for torques alone.
TighteningGeometry stand_in(const joint::Thread& thread) {
  const joint::Length d = thread.diameter();
  const joint::BoltGeometry bolt{thread, joint::HeadShape::hexagon, {}, d};
  const joint::ClampedParts parts{
      {{d, 4.0 * d, bolt.modulus}}, 1.5 * d, 1.1 * d, joint::Receiver::nut, bolt.modulus};
  return TighteningGeometry::from(bolt, parts);
}

struct Levers {
  std::optional<LeverArm> thread;  // none from a nut factor
  LeverArm whole;
};

// What the drawn bolts came to; the first four by stage. Forces in newtons, torques in newton-metres, angles
// in radians.
struct Drawn {
  explicit Drawn(std::size_t stages)
      : preload(stages),
        torque(stages),
        yield_torque(stages),
        yield_turn(stages),
        shown(stages),
        rise(stages),
        yielded(stages),
        broken(stages) {}

  std::vector<std::vector<double>> preload, torque;
  std::vector<std::vector<double>> yield_torque, yield_turn;  // 0 where the bolt had yielded before the stage
  std::vector<std::vector<double>> shown, rise;               // of stages that turn on
  std::vector<std::size_t> yielded, broken;
  std::vector<double> elastic_limit, final_preload;
};

class CasePredictor {
 public:
  CasePredictor(const Schedule& schedule, const TighteningCase& tightening, const PredictionOptions& options)
      : tightening_(tightening),
        options_(options),
        bolt_(bolt_model(schedule, schedule.fasteners[tightening.fastener])),
        actions_(actions_of(tightening, options.accuracies)),
        has_joint_(bolt_.geometry.has_value()),
        geometry_(has_joint_ ? TighteningGeometry::from(*bolt_.geometry, *bolt_.parts)
                             : stand_in(bolt_.thread.thread)) {}

  FastenerPrediction run() {
    out_.name = tightening_.name;
    out_.fastener = tightening_.fastener;
    out_.bolts = tightening_.bolts;
    out_.missing = bolt_.missing;
    out_.proof_load = joint::proof_load(bolt_.thread.thread, *bolt_.strength);
    out_.breaking_load = joint::breaking_load(bolt_.thread.thread, *bolt_.strength);
    if (has_joint_) {
      out_.bolt_stiffness = joint::stiffness(geometry_.springs().bolt);
      out_.joint_stiffness = joint::stiffness(geometry_.springs().parts);
    }
    list_stages();
    const bool computable = bolt_.used && (bolt_.used->nut_factor || bolt_.mean_seat_diameter());
    if (!computable) return std::move(out_);
    out_.nut_factor_only = bolt_.used->nut_factor.has_value();
    nominal();
    sample();
    return std::move(out_);
  }

 private:
  void list_stages();
  void nominal();
  void sample();
  void draw(const joint::LatinHypercube& cube, std::size_t sample, Drawn& drawn) const;
  void draw_yield(const TighteningModel& m, const WalkState& before, std::size_t i, double torque_factor,
                  double travel, Drawn& drawn) const;
  void foretell(Drawn& drawn);
  void summarise(Drawn drawn);
  void settle();
  void lubricants(const joint::LatinHypercube& cube);
  void contributions(const joint::LatinHypercube& cube, const std::vector<double>& final_preload);

  [[nodiscard]] Levers levers(const FrictionModel& f, double mu_thread, double mu_seat, double k) const {
    const joint::Thread& thread = bolt_.thread.thread;
    if (f.nut_factor) return {std::nullopt, joint::lever_from_nut_factor(k, thread.diameter())};
    const joint::Contact contact{joint::ThreadFriction(std::min(mu_thread, 1.0)),
                                 joint::SeatFriction(std::min(mu_seat, 1.0)), *bolt_.mean_seat_diameter()};
    return {joint::thread_lever(thread, contact.thread), joint::lever(thread, contact)};
  }
  [[nodiscard]] Levers nominal_levers(const FrictionModel& f) const {
    return levers(f, f.nominal_thread, f.nominal_seat, f.nominal_nut_factor);
  }
  // At two standard normal deviates, of which the second stands for what the seat has of its own.
  [[nodiscard]] Levers levers_at(const FrictionModel& f, double first, double second) const {
    if (f.nut_factor) return levers(f, 0, 0, f.nut_factor->at(first));
    return levers(f, f.thread->at(first), f.seat->at(joint::correlated(first, second, kFrictionCorrelation)),
                  0);
  }
  [[nodiscard]] static TighteningModel model(const TighteningGeometry& geometry, const Levers& l,
                                             const joint::Strength& s) {
    return l.thread ? TighteningModel(geometry, *l.thread, l.whole, s) : TighteningModel(geometry, l.whole);
  }
  [[nodiscard]] bool by_hand(std::size_t i) const {
    return actions_[i].stage->kind == StageKind::snug && !actions_[i].torque;
  }
  // Limit of error, as a share, of the wrench that shows a torque at a stage: of its own, else the one used
  // last.
  [[nodiscard]] double shown_limit(std::size_t i) const {
    for (std::size_t at = i + 1; at-- > 0;)
      if (actions_[at].torque) return actions_[at].limit;
    return joint::permissible_deviation(units::of(100, units::newton_metre));
  }
  // The stage after which the elastic limit is counted: the last torque stage before the first angle.
  [[nodiscard]] std::optional<std::size_t> limit_stage() const;

  const TighteningCase& tightening_;
  const PredictionOptions& options_;
  BoltModel bolt_;
  std::vector<StageAction> actions_;
  bool has_joint_;
  TighteningGeometry geometry_;
  FastenerPrediction out_;
};

std::optional<std::size_t> CasePredictor::limit_stage() const {
  std::optional<std::size_t> last;
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    if (actions_[i].stage->kind == StageKind::angle) return last;
    if (actions_[i].stage->kind == StageKind::torque || actions_[i].stage->kind == StageKind::snug) last = i;
  }
  return std::nullopt;
}

void CasePredictor::list_stages() {
  for (const StageAction& action : actions_) {
    StagePrediction p;
    p.stage = action.stage->number;
    p.kind = action.stage->kind;
    p.text = action.stage->name.empty() ? stage_text(*action.stage) : action.stage->name;
    if (action.stage->final_torque) {
      const schedule::Target& t = *action.stage->final_torque;
      p.final_torque = t.low
                           ? schedule::Window{*t.low, *t.high}
                           : schedule::window_of(t.nominal, *assumed_tolerance(StageKind::torque, t.nominal));
    }
    out_.stages.push_back(std::move(p));
  }
}

void CasePredictor::nominal() {
  const Levers l = nominal_levers(*bolt_.used);
  const TighteningModel m = model(geometry_, l, *bolt_.strength);
  out_.yield_preload = m.yield_preload();
  out_.nut_factor = units::value_in(l.whole, units::metre_per_radian) /
                    units::value_in(bolt_.thread.thread.diameter(), units::metre);
  WalkState state;
  const auto limit_at = limit_stage();
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    state = walk(m, actions_[i], state, 1, 0, has_joint_);
    StagePrediction& p = out_.stages[i];
    if (state.known && !by_hand(i)) {
      if (!state.state.broken) {
        p.preload = Estimate<Force>{state.state.preload, {}, {}};
        const Torque shown = actions_[i].torque ? *actions_[i].torque : m.torque_at(state.state);
        p.torque = Estimate<Torque>{shown, {}, {}};
      }
      p.utilisation = state.state.broken ? std::optional(1.0) : m.utilisation(state.state);
      if (has_joint_ && !out_.nut_factor_only) {
        p.growth = m.growth(state.state);
        p.growth_share = m.growth_share(state.state);
      }
    }
    if (limit_at == i && has_joint_)
      if (const auto left = m.elastic_limit_angle(state.state))
        out_.elastic_limit_angle = Estimate<Angle>{*left, {}, {}};
  }
}

void CasePredictor::sample() {
  const joint::LatinHypercube cube(options_.samples, first_stage + actions_.size(), kSeed);
  Drawn drawn(actions_.size());
  for (std::size_t s = 0; s < options_.samples; ++s) draw(cube, s, drawn);
  const std::vector<double> final_preload = drawn.final_preload;
  foretell(drawn);
  summarise(std::move(drawn));
  settle();
  lubricants(cube);
  if (!out_.stages.empty() && out_.stages.back().preload) contributions(cube, final_preload);
}

void CasePredictor::draw(const joint::LatinHypercube& cube, std::size_t sample, Drawn& drawn) const {
  const auto z = [&](std::size_t input) { return cube.normal(sample, input); };
  const double excess = bolt_.strength->measured ? 1 : kStrengthExcess;
  const double strength_deviation = bolt_.strength->measured ? 0 : kStrength;
  const TighteningModel m =
      model(geometry_.softened(1 / (1 + kStiffness * z(stiffness))),
            levers_at(*bolt_.used, z(thread_friction), z(seat_friction)),
            joint::scaled(*bolt_.strength, excess * (1 + strength_deviation * z(strength))));
  const std::optional<Force> yield = m.yield_preload();
  WalkState state;
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    const StageAction& action = actions_[i];
    const double share = joint::accuracy_limit_deviation(action.limit);
    const double wrench = 1 + joint::accuracy_limit_deviation(shown_limit(i)) * z(calibration);
    double torque_factor = wrench, travel = 0;
    if (action.torque) {
      torque_factor *= 1 + kWrenchRepeat * z(first_stage + i);
    } else {
      travel = share * z(first_stage + i);
      if (action.angle && !action.loosen)
        travel += kStart * z(start) * units::value_in(m.elastic_angle() * state.state.preload, units::radian);
    }
    const WalkState before = state;
    draw_yield(m, before, i, torque_factor, travel, drawn);
    state = walk(m, action, state, std::max(torque_factor, 0.0), travel, has_joint_);
    if (state.state.broken) {
      ++drawn.broken[i];
      ++drawn.yielded[i];
      continue;
    }
    if (yield && state.state.largest > *yield && state.state.largest > before.state.largest)
      ++drawn.yielded[i];
    drawn.preload[i].push_back(units::value_in(state.state.preload, units::newton));
    const double torque = units::value_in(m.torque_at(state.state), units::newton_metre);
    drawn.torque[i].push_back(
        action.torque ? units::value_in(*action.torque, units::newton_metre) * torque_factor : torque);
    if (schedule::row(action.stage->kind).turns_on && state.known) {
      drawn.shown[i].push_back(torque / std::max(wrench, kLeastFactor));
      drawn.rise[i].push_back(torque - units::value_in(m.torque_at(before.state), units::newton_metre));
    }
    if (limit_stage() == i && out_.elastic_limit_angle)
      drawn.elastic_limit.push_back(units::value_in(*m.elastic_limit_angle(state.state), units::radian));
  }
  drawn.final_preload.push_back(state.state.broken ? 0 : units::value_in(state.state.preload, units::newton));
}

// What this bolt would show when it begins to yield in the stage: the torque on a wrench that is off by its
// error, and the turn from rest, on which the torsion that sprang back is wound up again first.
void CasePredictor::draw_yield(const TighteningModel& m, const WalkState& before, std::size_t i,
                               double torque_factor, double travel, Drawn& drawn) const {
  const StageAction& action = actions_[i];
  const std::optional<Force> yield = m.yield_preload();
  if (!yield || !before.known || action.loosen || by_hand(i)) return;
  const bool yielded = before.state.broken || before.state.largest > *yield;
  drawn.yield_torque[i].push_back(yielded ? 0
                                          : units::value_in(*yield * m.lever(), units::newton_metre) /
                                                std::max(torque_factor, kLeastFactor));
  if (!has_joint_) return;
  double turn = 0;
  if (!yielded) {
    const Angle left = *m.elastic_limit_angle(before.state) + m.spring_back(before.state);
    turn = units::value_in(left, units::degree);
    if (action.angle) turn -= units::value_in(units::of(travel, units::radian), units::degree);
  }
  drawn.yield_turn[i].push_back(std::max(turn, 0.0));
}

// The sampled bolts in order: where half of them and one in twenty have yielded, and what a wrench will show.
void CasePredictor::foretell(Drawn& drawn) {
  const auto torque_of = [](double number) { return units::Measured(number, units::newton_metre_unit()); };
  const auto turn_of = [](double number) { return units::Measured(number, units::degree_unit()); };
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    Forecast& forecast = out_.stages[i].forecast;
    if (const auto at = joint::quantiles(std::move(drawn.yield_torque[i]), {0.5, 0.05}); !at.empty()) {
      forecast.yield_from.torque = torque_of(at[0]);
      forecast.may_yield_from.torque = torque_of(at[1]);
    }
    if (const auto at = joint::quantiles(std::move(drawn.yield_turn[i]), {0.5, 0.05}); !at.empty()) {
      forecast.yield_from.turn = turn_of(at[0]);
      forecast.may_yield_from.turn = turn_of(at[1]);
    }
    if (!out_.stages[i].torque || drawn.shown[i].empty()) continue;
    const auto torque = joint::quantiles(drawn.torque[i], {0.05, 0.95, 0.005, 0.995});
    const auto shown = joint::quantiles(std::move(drawn.shown[i]), {kLeastShare});
    const auto rise = joint::quantiles(std::move(drawn.rise[i]), {kLeastShare});
    forecast.expected = ExpectedTorque{torque_of(torque[0]), torque_of(torque[1]), torque_of(torque[2]),
                                       torque_of(torque[3]), torque_of(shown[0]),  torque_of(rise[0])};
  }
}

void CasePredictor::summarise(Drawn drawn) {
  const auto fill = [](auto& estimate, std::vector<double>& values, auto unit) {
    if (!estimate) return;
    if (values.empty()) {
      estimate.reset();
      return;
    }
    const joint::Band band = joint::band(std::move(values));
    estimate->p5 = units::of(band.p5, unit);
    estimate->p95 = units::of(band.p95, unit);
  };
  const auto n = static_cast<double>(options_.samples);
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    StagePrediction& p = out_.stages[i];
    p.yield_share = static_cast<double>(drawn.yielded[i]) / n;
    p.broken_share = static_cast<double>(drawn.broken[i]) / n;
    if (out_.yield_preload && p.utilisation)
      p.yields = p.yield_share < 0.001   ? Yields::never
                 : p.yield_share > 0.999 ? Yields::certain
                                         : Yields::possible;
    fill(p.preload, drawn.preload[i], units::newton);
    fill(p.torque, drawn.torque[i], units::newton_metre);
  }
  fill(out_.elastic_limit_angle, drawn.elastic_limit, units::radian);
}

// What is left once the faces have bedded in: medium roughness, as long as nobody says more.
void CasePredictor::settle() {
  if (!has_joint_ || out_.stages.empty() || !out_.stages.back().preload) return;
  const Estimate<Force>& last = *out_.stages.back().preload;
  const joint::Length bedding =
      joint::embedding(joint::Roughness::medium, bolt_.parts->receiver, joint::inner_faces(*bolt_.parts));
  const auto left = [&](Force f) {
    return joint::settled_preload(f, bedding, geometry_.springs().bolt, geometry_.springs().parts);
  };
  out_.settled_preload = Estimate<Force>{left(last.nominal), left(last.p5), left(last.p95)};
}

// The torque that gives, on what is on the bolts, the preload that the figure was written for.
void CasePredictor::lubricants(const joint::LatinHypercube& cube) {
  if (!bolt_.lubricants_differ) return;
  const bool stated_known = bolt_.stated->nut_factor || bolt_.mean_seat_diameter();
  if (!stated_known) return;
  std::vector<double> ratio, stated_lever;
  for (std::size_t s = 0; s < cube.points(); ++s) {
    const LeverArm used =
        levers_at(*bolt_.used, cube.normal(s, thread_friction), cube.normal(s, seat_friction)).whole;
    const LeverArm stated =
        levers_at(*bolt_.stated, cube.normal(s, stated_thread), cube.normal(s, stated_seat)).whole;
    ratio.push_back(used / stated);
    stated_lever.push_back(units::value_in(stated, units::metre_per_radian));
  }
  const double nominal_ratio = nominal_levers(*bolt_.used).whole / nominal_levers(*bolt_.stated).whole;
  const LeverArm nominal_stated = nominal_levers(*bolt_.stated).whole;
  const joint::Band ratios = joint::band(std::move(ratio)), stated = joint::band(std::move(stated_lever));
  for (std::size_t i = 0; i < actions_.size(); ++i) {
    if (!actions_[i].torque) continue;
    const Torque torque = *actions_[i].torque;
    out_.stages[i].same_preload_torque =
        Estimate<Torque>{torque * nominal_ratio, torque * ratios.p5, torque * ratios.p95};
    out_.stages[i].stated_preload =
        Estimate<Force>{torque / nominal_stated, torque / units::of(stated.p95, units::metre_per_radian),
                        torque / units::of(stated.p5, units::metre_per_radian)};
  }
}

// Squared correlation of each input with the final preload: how much of its variance goes with that input.
void CasePredictor::contributions(const joint::LatinHypercube& cube,
                                  const std::vector<double>& final_preload) {
  const auto n = static_cast<double>(final_preload.size());
  const double mean = std::accumulate(final_preload.begin(), final_preload.end(), 0.0) / n;
  double variance = 0;
  for (const double f : final_preload) variance += (f - mean) * (f - mean);
  if (variance <= 0) return;
  std::map<std::string_view, double> shares;
  for (std::size_t input = 0; input < cube.dimensions(); ++input) {
    const std::string_view source = label(input, actions_);
    if (source.empty()) continue;
    double covariance = 0, square = 0;
    for (std::size_t s = 0; s < final_preload.size(); ++s) {
      const double z = cube.normal(s, input);
      covariance += z * (final_preload[s] - mean);
      square += z * z;
    }
    shares[source] += covariance * covariance / (square * variance);
  }
  for (const auto& [source, share] : shares)
    out_.contributions.push_back({std::string(source), std::min(share, 1.0)});
  std::stable_sort(out_.contributions.begin(), out_.contributions.end(),
                   [](const Contribution& a, const Contribution& b) { return a.share > b.share; });
}

}  // namespace

void mark_yielding_steps(Plan& plan, const std::vector<FastenerPrediction>& predictions) {
  struct OfBolt {
    const FastenerPrediction* prediction = nullptr;
    int from = std::numeric_limits<int>::max();  // the first stage that may take it to its yield point
  };
  std::unordered_map<std::string_view, OfBolt> bolts;
  std::unordered_map<const StagePrediction*, std::shared_ptr<const Forecast>> forecasts;
  for (const FastenerPrediction& p : predictions) {
    // What can't be computed counts from the first angle.
    const auto may_yield = [&](const StagePrediction& s) {
      return s.yields ? *s.yields != Yields::never : s.broken_share > 0 || schedule::row(s.kind).turns_on;
    };
    const auto first = std::find_if(p.stages.begin(), p.stages.end(), may_yield);
    OfBolt here{&p};
    if (first != p.stages.end()) here.from = first->stage;
    for (const std::string& bolt : p.bolts) bolts[bolt] = here;
    for (const StagePrediction& stage : p.stages)
      if (!stage.forecast.says_nothing())
        forecasts[&stage] = std::make_shared<const Forecast>(stage.forecast);
  }
  for (Step& step : plan.steps) {
    if (!step.bolt) continue;
    const auto found = bolts.find(*step.bolt);
    if (found == bolts.end()) continue;
    step.may_yield = step.stage >= found->second.from;
    for (const StagePrediction& stage : found->second.prediction->stages)
      if (stage.stage == step.stage)
        if (const auto forecast = forecasts.find(&stage); forecast != forecasts.end())
          step.forecast = forecast->second;
  }
}

std::vector<FastenerPrediction> predict(const Schedule& schedule, const PredictionOptions& options) {
  std::vector<FastenerPrediction> out;
  for (const TighteningCase& tightening : tightening_cases(schedule))
    out.push_back(CasePredictor(schedule, tightening, options).run());
  return out;
}

}  // namespace clampbook::plan
