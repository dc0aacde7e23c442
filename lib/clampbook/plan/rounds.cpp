#include <clampbook/joint/material.h>
#include <clampbook/joint/neighbours.h>
#include <clampbook/joint/resilience.h>
#include <clampbook/plan/order.h>
#include <clampbook/plan/rounds.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace clampbook::plan {

using joint::Force;
using joint::Length;
using joint::NeighbourJoint;
using joint::Stress;
using schedule::OrderKind;
using text::Json;
using units::to;

namespace {

constexpr std::size_t kMostBolts = 500;
constexpr double kEven = 0.10;  // a spread below which a joint counts as even (common practice)
constexpr int kMostRounds = 4;
const Stress kSoft = units::of(10, units::gigapascal);  // below this no structural metal lies

std::string_view order_name(OrderKind kind) {
  switch (kind) {
    case OrderKind::centre_out:
      return "centre_out";
    case OrderKind::star:
      return "star";
    case OrderKind::circle:
      return "circle";
    case OrderKind::explicit_list:
      return "as listed in order:";
    case OrderKind::listed:
      break;
  }
  return "listed";
}

// Layers one under the other: as one, their gives h/E added up.
struct Bed {
  Length thickness = Length();
  double give = 0;  // m/Pa

  void add(Length layer, Stress modulus) {
    if (!(layer > Length())) return;
    thickness += layer;
    give += units::si_number(layer) / units::si_number(modulus);
  }
  [[nodiscard]] Stress modulus(Stress without) const {
    return give > 0 ? units::of(units::si_number(thickness) / give, units::pascal) : without;
  }
};

class CaseRounds {
 public:
  CaseRounds(const schedule::Schedule& schedule, const FastenerPrediction& prediction)
      : schedule_(schedule), prediction_(prediction) {
    out_.fastener = prediction.name;
  }

  RoundsPrediction run() {
    try {
      if (!find_bolts() || !find_target() || !find_cover()) return std::move(out_);
      losses();
      schemes();
    } catch (const std::runtime_error& e) {  // DomainError among them
      out_.why_not = e.what();
    }
    return std::move(out_);
  }

 private:
  bool refuse(std::string why) {
    out_.why_not = std::move(why);
    return false;
  }

  bool find_bolts() {
    for (std::size_t i = 0; i < schedule_.bolts.size(); ++i) {
      const schedule::Bolt& bolt = schedule_.bolts[i];
      if (std::find(prediction_.bolts.begin(), prediction_.bolts.end(), bolt.id) == prediction_.bolts.end())
        continue;
      if (!bolt.x || !bolt.y) return refuse("the bolts have no places: at: [x, y]");
      bolts_.push_back(i);
      places_.push_back({to<Length>(*bolt.x), to<Length>(*bolt.y)});
    }
    if (bolts_.size() < 2) return refuse("a single bolt has no neighbours");
    if (bolts_.size() > kMostBolts) return refuse("more than 500 bolts are not reckoned");
    return true;
  }

  bool find_target() {
    for (const StagePrediction& stage : prediction_.stages)
      if (stage.preload && stage.kind != StageKind::loosen) out_.target = stage.preload->nominal;
    return out_.target > Force() || refuse("the clamp load is not known");
  }

  bool find_cover() {
    const schedule::Fastener& fastener = schedule_.fasteners[prediction_.fastener];
    const BoltModel model = bolt_model(schedule_, fastener);
    const schedule::Joint* joint = schedule_.joint_of(fastener);
    if (!model.geometry || joint == nullptr) return refuse("the schedule does not say enough of this joint");
    const auto modulus = [](const schedule::Layer& layer) {
      return layer.modulus ? to<Stress>(*layer.modulus) : joint::find_material(layer.material)->modulus;
    };
    const schedule::Layer& first = joint->layers.front();
    if (modulus(first) < kSoft) return refuse("the first layer is the cover, and this one is soft");
    cover_ = {
        to<Length>(first.thickness), modulus(first), 0.3, Length(), modulus(first), Length(), modulus(first)};
    Bed below, gasket;
    for (std::size_t i = 1; i < joint->layers.size(); ++i) {
      const schedule::Layer& layer = joint->layers[i];
      const Length thickness = to<Length>(layer.thickness);
      if (modulus(layer) < kSoft) {
        gasket.add(thickness, modulus(layer));
      } else {  // what lies deeper than twice the cover does not give
        below.add(std::min<Length>(thickness, 2.0 * cover_.thickness - below.thickness), modulus(layer));
      }
    }
    out_.gasket = gasket.thickness > Length();
    cover_.gasket = gasket.thickness;
    cover_.gasket_modulus = gasket.modulus(cover_.modulus);
    cover_.below = below.thickness;
    cover_.below_modulus = below.modulus(cover_.modulus);
    if (!joint->into->nut) {  // the part with the threads, thick enough to count in full
      cover_.below = 2.0 * cover_.thickness;
      cover_.below_modulus = model.parts->receiver_modulus;
    }
    if (!(cover_.below > Length())) return refuse("nothing is said of what lies below the cover");
    const joint::JointSprings springs = joint::joint_springs(*model.geometry, *model.parts);
    springs_ = springs.bolt + springs.parts;
    return true;
  }

  // Positions in bolts_, as the order goes.
  [[nodiscard]] std::vector<std::size_t> in_order(OrderKind kind) const {
    if (kind != OrderKind::explicit_list) {
      std::vector<Point> points;
      for (const joint::Place& place : places_) points.push_back({place.x, place.y});
      return order_points(kind, points);
    }
    std::vector<std::size_t> out;
    for (const std::size_t bolt : order_bolts(schedule_, schedule_.order, bolts_))
      out.push_back(static_cast<std::size_t>(std::find(bolts_.begin(), bolts_.end(), bolt) - bolts_.begin()));
    return out;
  }

  [[nodiscard]] NeighbourJoint fresh() const { return {places_, springs_, cover_}; }

  void losses() {
    const std::vector<std::size_t> order = in_order(schedule_.order.kind);
    NeighbourJoint joint = fresh();
    for (const std::size_t i : order) joint.tighten(i, out_.target);
    for (const std::size_t i : order)
      out_.losses.push_back({schedule_.bolts[bolts_[i]].id, 1 - joint.preload(i) / out_.target});
  }

  [[nodiscard]] RoundScheme scheme(OrderKind kind, std::vector<double> levels) const {
    RoundScheme out{kind, std::move(levels)};
    NeighbourJoint joint = fresh();
    const std::vector<std::size_t> order = in_order(kind);
    for (const double level : out.levels)
      for (const std::size_t i : order) joint.tighten(i, level * out_.target);
    double squares = 0;
    const auto n = static_cast<double>(bolts_.size());
    out.least = out.most = joint.preload(0) / out_.target;
    for (std::size_t i = 0; i < bolts_.size(); ++i) {
      const double share = joint.preload(i) / out_.target;
      out.mean += share / n;
      squares += share * share / n;
      out.least = std::min(out.least, share);
      out.most = std::max(out.most, share);
    }
    out.variation = std::sqrt(std::max(squares - out.mean * out.mean, 0.0)) / out.mean;
    return out;
  }

  void schemes() {
    std::vector<OrderKind> orders{schedule_.order.kind};
    for (const OrderKind kind : {OrderKind::centre_out, OrderKind::star, OrderKind::circle})
      if (kind != orders.front()) orders.push_back(kind);
    for (const OrderKind kind : orders)
      for (const std::vector<double>& levels :
           {std::vector<double>{1}, std::vector<double>{0.3, 0.6, 1}, std::vector<double>{1, 1},
            std::vector<double>{0.3, 0.6, 1, 1}})
        out_.schemes.push_back(scheme(kind, levels));
    for (int rounds = 1; rounds <= kMostRounds && !out_.rounds; ++rounds)
      if (scheme(orders.front(), std::vector<double>(static_cast<std::size_t>(rounds), 1.0)).spread() < kEven)
        out_.rounds = rounds;
  }

  const schedule::Schedule& schedule_;
  const FastenerPrediction& prediction_;
  std::vector<std::size_t> bolts_;
  std::vector<joint::Place> places_;
  joint::Cover cover_{};
  joint::Resilience springs_{};
  RoundsPrediction out_;
};

}  // namespace

std::vector<RoundsPrediction> predict_rounds(const schedule::Schedule& schedule,
                                             const std::vector<FastenerPrediction>& predictions) {
  std::vector<RoundsPrediction> out;
  for (const FastenerPrediction& prediction : predictions)
    out.push_back(CaseRounds(schedule, prediction).run());
  return out;
}

Json rounds_json(const std::vector<RoundsPrediction>& rounds) {
  Json out = Json::array();
  for (const RoundsPrediction& r : rounds) {
    Json losses = Json::array(), schemes = Json::array();
    for (const BoltLoss& loss : r.losses)
      losses.push(Json::object().set("bolt", loss.bolt).set("share", loss.share));
    for (const RoundScheme& s : r.schemes) {
      Json levels = Json::array();
      for (const double level : s.levels) levels.push(level);
      schemes.push(Json::object()
                       .set("order", order_name(s.order))
                       .set("levels", std::move(levels))
                       .set("mean", s.mean)
                       .set("least", s.least)
                       .set("most", s.most)
                       .set("variation", s.variation));
    }
    out.push(Json::object()
                 .set("fastener", r.fastener)
                 .set("target_N", r.why_not.empty() ? Json(units::value_in(r.target, units::newton)) : Json())
                 .set("gasket", r.gasket)
                 .set("losses", std::move(losses))
                 .set("schemes", std::move(schemes))
                 .set("rounds", r.rounds ? Json(*r.rounds) : Json())
                 .set("why_not", r.why_not.empty() ? Json() : Json(r.why_not)));
  }
  return out;
}

}  // namespace clampbook::plan
