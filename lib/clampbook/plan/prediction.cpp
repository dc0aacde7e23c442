#include <clampbook/joint/head.h>
#include <clampbook/joint/nut_factor.h>
#include <clampbook/joint/settling.h>
#include <clampbook/joint/torque.h>
#include <clampbook/plan/prediction.h>
#include <clampbook/plan/tightening_case.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <stdexcept>

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
  explicit Drawn(std::size_t stages) : preload(stages), torque(stages), yielded(stages), broken(stages) {}

  std::vector<std::vector<double>> preload, torque;
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
    double torque_factor = 1, travel = 0;
    if (action.torque) {
      torque_factor = (1 + share * z(calibration)) * (1 + kWrenchRepeat * z(first_stage + i));
    } else {
      travel = share * z(first_stage + i);
      if (action.angle && !action.loosen)
        travel += kStart * z(start) * units::value_in(m.elastic_angle() * state.state.preload, units::radian);
    }
    const Force before = state.state.largest;
    state = walk(m, action, state, std::max(torque_factor, 0.0), travel, has_joint_);
    if (state.state.broken) {
      ++drawn.broken[i];
      ++drawn.yielded[i];
      continue;
    }
    if (yield && state.state.largest > *yield && state.state.largest > before) ++drawn.yielded[i];
    drawn.preload[i].push_back(units::value_in(state.state.preload, units::newton));
    drawn.torque[i].push_back(action.torque
                                  ? units::value_in(*action.torque, units::newton_metre) * torque_factor
                                  : units::value_in(m.torque_at(state.state), units::newton_metre));
    if (limit_stage() == i && out_.elastic_limit_angle)
      drawn.elastic_limit.push_back(units::value_in(*m.elastic_limit_angle(state.state), units::radian));
  }
  drawn.final_preload.push_back(state.state.broken ? 0 : units::value_in(state.state.preload, units::newton));
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
  // By bolt: the first stage that may take it to its yield point. What can't be computed counts from the
  // first angle.
  std::map<std::string_view, int> from;
  for (const FastenerPrediction& p : predictions) {
    const auto may_yield = [&](const StagePrediction& s) {
      if (s.yields) return *s.yields != Yields::never;
      return s.broken_share > 0 || s.kind == StageKind::angle || s.kind == StageKind::yield ||
             s.kind == StageKind::stretch;
    };
    const auto first = std::find_if(p.stages.begin(), p.stages.end(), may_yield);
    if (first == p.stages.end()) continue;
    for (const std::string& bolt : p.bolts) from[bolt] = first->stage;
  }
  for (Step& step : plan.steps) {
    if (!step.bolt) continue;
    const auto found = from.find(*step.bolt);
    step.may_yield = found != from.end() && step.stage >= found->second;
  }
}

std::vector<FastenerPrediction> predict(const Schedule& schedule, const PredictionOptions& options) {
  std::vector<FastenerPrediction> out;
  for (const TighteningCase& tightening : tightening_cases(schedule))
    out.push_back(CasePredictor(schedule, tightening, options).run());
  return out;
}

}  // namespace clampbook::plan
