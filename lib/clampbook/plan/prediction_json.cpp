#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prediction_json.h>

namespace clampbook::plan {

using text::Json;
using units::value_in;

namespace {

template <class Quantity>
Json number(const std::optional<Quantity>& value, units::Scale<Quantity> unit) {
  return value ? Json(value_in(*value, unit)) : Json();
}

template <class Quantity>
Json estimate(const std::optional<Estimate<Quantity>>& e, units::Scale<Quantity> unit) {
  if (!e) return nullptr;
  return Json::object()
      .set("nominal", value_in(e->nominal, unit))
      .set("p5", value_in(e->p5, unit))
      .set("p95", value_in(e->p95, unit));
}

Json stage_json(const StagePrediction& s) {
  return Json::object()
      .set("stage", s.stage)
      .set("kind", schedule::name(s.kind))
      .set("preload_N", estimate(s.preload, units::newton))
      .set("torque_Nm", estimate(s.torque, units::newton_metre))
      .set("utilisation", s.utilisation)
      .set("yields", s.yields ? Json(name(*s.yields)) : Json())
      .set("growth_mm", number(s.growth, units::millimetre))
      .set("growth_share", s.growth_share)
      .set("same_preload_torque_Nm", estimate(s.same_preload_torque, units::newton_metre));
}

}  // namespace

Json to_json(const std::vector<FastenerPrediction>& predictions, const std::vector<Caution>& cautions) {
  Json fasteners = Json::object(), list = Json::array();
  for (const FastenerPrediction& p : predictions) {
    Json stages = Json::array();
    for (const StagePrediction& stage : p.stages) stages.push(stage_json(stage));
    fasteners.set(
        p.name, Json::object()
                    .set("yield_preload_N", number(p.yield_preload, units::newton))
                    .set("elastic_limit_angle_deg", estimate(p.elastic_limit_angle, units::degree))
                    .set("bolt_stiffness_N_per_mm", number(p.bolt_stiffness, units::newton_per_millimetre))
                    .set("joint_stiffness_N_per_mm", number(p.joint_stiffness, units::newton_per_millimetre))
                    .set("nut_factor", p.nut_factor)
                    .set("settled_preload_N", estimate(p.settled_preload, units::newton))
                    .set("stages", std::move(stages)));
  }
  for (const Caution& caution : cautions) list.push(to_json(caution));
  return Json::object().set("fasteners", std::move(fasteners)).set("cautions", std::move(list));
}

}  // namespace clampbook::plan
