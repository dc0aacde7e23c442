#include <clampbook/plan/plan_json.h>

#include <algorithm>
#include <array>
#include <memory>
#include <string>
#include <unordered_map>

namespace clampbook::plan {

using text::Json;
using units::Dimension;

namespace {

std::optional<Dimension> quantity_of(const Step& step) {
  for (const auto* value : {&step.target, &step.low, &step.high})
    if (*value) return (*value)->dimension();
  return std::nullopt;
}

std::string suffixed(std::string_view key, std::optional<Dimension> dimension) {
  return std::string(key) + std::string(dimension ? units::machine_suffix(*dimension) : std::string_view());
}

Json machine(const std::optional<Measured>& value) {
  return value ? Json(value->machine_value()) : Json();
}

Json ids(const std::vector<std::string>& list) {
  Json out = Json::array();
  for (const std::string& id : list) out.push(id);
  return out;
}

Json stage_json(const PlanStage& stage) {
  return Json::object()
      .set("stage", stage.stage)
      .set("name", stage.name)
      .set("kind", schedule::name(stage.kind))
      .set("bolts", ids(stage.bolts))
      .set("order", ids(stage.order));
}

}  // namespace

namespace {

Json worked_by(const Step& step) {
  const std::optional<Dimension> q = quantity_of(step);
  return Json::object()
      .set("step", step.step)
      .set("stage", step.stage)
      .set("stage_name", step.stage_name)
      .set("kind", schedule::name(step.kind))
      .set("bolt", step.bolt)
      .set("label", step.label)
      .set("text", step.text)
      .set(suffixed("target", q), machine(step.target))
      .set(suffixed("low", q), machine(step.low))
      .set(suffixed("high", q), machine(step.high))
      .set("assumed", step.assumed)
      .set("expect", step.expect)
      .set("wait_s", step.wait_s)
      .set("setting_Nm", machine(step.setting));
}

void append(Json& out, const YieldPoint& point, std::string_view key) {
  out.set(suffixed(key, Dimension::torque), machine(point.torque))
      .set(suffixed(key, Dimension::angle), machine(point.turn));
}

Json to_json(const ExpectedTorque& expected) {
  return Json::object()
      .set("p5", machine(expected.p5))
      .set("p95", machine(expected.p95))
      .set("low", machine(expected.low))
      .set("high", machine(expected.high));
}

// The members of a step that the bolts of its stage share; with `null` where nothing is predicted.
void append_forecast(Json& out, const Forecast* forecast) {
  static const Forecast kNothing;
  const Forecast& f = forecast != nullptr ? *forecast : kNothing;
  append(out, f.yield_from, "yield_from");
  append(out, f.may_yield_from, "may_yield_from");
  out.set("expect_Nm", f.expected ? to_json(*f.expected) : Json());
  out.set("open_time_s", Json());  // no schedule says it yet
}

}  // namespace

Json to_json(const Step& step) {
  Json out = worked_by(step);
  append_forecast(out, step.forecast.get());
  return out;
}

Json to_json(const Caution& c) {
  return Json::object()
      .set("slug", c.slug)
      .set("fastener", c.fastener)
      .set("stage", c.stage)
      .set("text", c.text)
      .set("have", c.have)
      .set("limit", c.limit);
}

namespace {

// A member whose value is a list, behind at least one other member.
template <class Element>
void append_list(std::string& out, std::string_view key, const std::vector<Element>& list,
                 Json (*json)(const Element&)) {
  out.push_back(',');
  text::append_json_string(out, key);
  out += ":[";
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (i > 0) out.push_back(',');
    json(list[i]).dump_to(out);
  }
  out.push_back(']');
}

// One forecast after the other as text: most steps have that of the step before.
class StepWriter {
 public:
  void append(std::string& out, const Step& step) {
    if (tail_.empty() || step.forecast != last_) {
      last_ = step.forecast;
      Json members = Json::object();
      append_forecast(members, last_.get());
      tail_ = members.dump();
      tail_.front() = ',';
    }
    worked_by(step).dump_to(out);
    out.pop_back();
    out += tail_;
  }

 private:
  std::shared_ptr<const Forecast> last_;
  std::string tail_;
};

}  // namespace

std::string to_json_text(const Plan& plan) {
  const auto text_or_null = [](const std::string& s) { return s.empty() ? Json() : Json(s); };
  std::string out = Json::object()
                        .set("title", plan.title)
                        .set("notice", text_or_null(plan.notice))
                        .set("view", text_or_null(plan.view))
                        .set("order", ids(plan.order))
                        .dump();
  out.pop_back();  // the brace that closes it
  append_list<PlanStage>(out, "stages", plan.stages, stage_json);
  out += ",\"steps\":[";
  StepWriter writer;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    if (i > 0) out.push_back(',');
    writer.append(out, plan.steps[i]);
  }
  out.push_back(']');
  append_list<Caution>(out, "cautions", plan.cautions, to_json);
  out.push_back('}');
  return out;
}

namespace {

// The forecasts of a plan's steps, each once, in the order in which the steps have them.
class Forecasts {
 public:
  std::size_t place(const std::shared_ptr<const Forecast>& forecast) {
    const auto [at, is_new] = places_.emplace(forecast.get(), list_.size());
    if (is_new) list_.push_back(forecast.get());
    return at->second;
  }
  [[nodiscard]] Json json() const {
    Json out = Json::array();
    for (const Forecast* forecast : list_) {
      Json j = Json::object();
      append(j, forecast->yield_from, "yield_from");
      append(j, forecast->may_yield_from, "may_yield_from");
      j.set("expect_Nm", forecast->expected ? to_json(*forecast->expected) : Json());
      if (forecast->expected)
        j.set("least_Nm", machine(forecast->expected->least))
            .set("least_rise_Nm", machine(forecast->expected->least_rise));
      out.push(std::move(j));
    }
    return out;
  }

 private:
  std::unordered_map<const Forecast*, std::size_t> places_;
  std::vector<const Forecast*> list_;
};

Json cautions_json(const std::vector<Caution>& cautions) {
  Json out = Json::array();
  for (const Caution& caution : cautions) out.push(to_json(caution));
  return out;
}

}  // namespace

Json to_record(const Plan& plan) {
  Json bolts = Json::array();
  for (const PlanBolt& bolt : plan.bolts)
    bolts.push(Json::object()
                   .set("id", bolt.id)
                   .set("fastener", bolt.fastener)
                   .set("group", bolt.group)
                   .set("x_mm", machine(bolt.x))
                   .set("y_mm", machine(bolt.y)));
  Json fasteners = Json::array();
  for (const PlanFastener& f : plan.fasteners) {
    Json j = Json::object()
                 .set("name", f.name)
                 .set("reuse", schedule::name(f.reuse.kind))
                 .set("times", f.reuse.times)
                 .set("growth_mm", machine(f.reuse.growth));
    if (f.left_hand) j.set("left_hand", true);
    fasteners.push(std::move(j));
  }
  Json stages = Json::array();
  for (const PlanStage& stage : plan.stages) {
    Json j = stage_json(stage);
    j.set("text", stage.text);
    if (stage.tool)
      j.set("tool", Json::object()
                        .set("name", stage.tool->name)
                        .set("text", stage.tool->text)
                        .set("adapter", stage.tool->adapter));
    stages.push(std::move(j));
  }
  Json steps = Json::array();
  Forecasts forecasts;
  for (const Step& step : plan.steps) {
    Json j = worked_by(step);
    // The unit in which the person wrote the figure, so that findings speak it.
    const auto& shown = step.target ? step.target : step.high ? step.high : step.low;
    j.set("unit", shown ? Json(shown->unit().spelling) : Json());
    if (step.final_torque) {
      j.set("final_unit", step.final_torque->high.unit().spelling)
          .set("final_low_Nm", step.final_torque->low.machine_value())
          .set("final_high_Nm", step.final_torque->high.machine_value());
    }
    if (step.prevailing) j.set("prevailing_Nm", step.prevailing->machine_value());
    if (step.may_yield) j.set("may_yield", true);
    // The scale of the tool, where it is not that of the figure.
    if (step.setting && (!shown || &step.setting->unit() != &shown->unit()))
      j.set("setting_unit", step.setting->unit().spelling);
    if (step.forecast) j.set("forecast", forecasts.place(step.forecast));
    steps.push(std::move(j));
  }
  return Json::object()
      .set("title", plan.title)
      .set("machine", plan.machine)
      .set("notice", plan.notice)
      .set("view", plan.view)
      .set("bolts", std::move(bolts))
      .set("fasteners", std::move(fasteners))
      .set("order", ids(plan.order))
      .set("stages", std::move(stages))
      .set("steps", std::move(steps))
      .set("forecasts", forecasts.json())
      .set("cautions", cautions_json(plan.cautions))
      .set("version", kPlanVersion);
}

namespace {

struct Damaged {};

// Of a Json, or of its members in their usual order.
template <class Object>
const Json& need(Object&& object, std::string_view key) {
  if (const Json* found = object.find(key)) return *found;
  throw Damaged{};
}
template <class Object>
std::string need_text(Object&& object, std::string_view key) {
  if (const std::string* s = need(object, key).as_string()) return *s;
  throw Damaged{};
}
template <class Object>
int need_integer(Object&& object, std::string_view key) {
  if (const std::int64_t* n = need(object, key).as_integer(); n != nullptr && *n >= 0 && *n < 10'000'000)
    return static_cast<int>(*n);
  throw Damaged{};
}
const Json::Array& need_array(const Json& object, std::string_view key) {
  if (const Json::Array* a = need(object, key).as_array()) return *a;
  throw Damaged{};
}
template <class Object>
std::optional<std::string> text_or_nothing(Object&& object, std::string_view key) {
  const Json& value = need(object, key);
  if (value.is_null()) return std::nullopt;
  return need_text(object, key);
}
std::vector<std::string> need_ids(const Json& object, std::string_view key) {
  std::vector<std::string> out;
  for (const Json& id : need_array(object, key)) {
    if (id.as_string() == nullptr) throw Damaged{};
    out.push_back(*id.as_string());
  }
  return out;
}
template <class Object>
StageKind need_kind(Object&& object) {
  if (const auto kind = schedule::stage_kind(need_text(object, "kind"))) return *kind;
  throw Damaged{};
}
const units::Unit* unit_named(const Json* word) {
  const std::string* text = word != nullptr ? word->as_string() : nullptr;
  if (text == nullptr) return nullptr;
  return text->empty() ? &units::one_unit() : units::find_unit(*text);
}

// A quantity under `key` with the suffix of the unit's dimension, shown in that unit.
template <class Object>
std::optional<Measured> quantity(Object&& object, std::string_view key, const units::Unit* shown) {
  if (shown == nullptr) return std::nullopt;
  const Json* value = object.find(std::string(key) + std::string(units::machine_suffix(shown->dimension)));
  const std::optional<double> number = value != nullptr ? value->as_number() : std::nullopt;
  if (!number) return std::nullopt;
  return Measured(*number, units::machine_unit(shown->dimension)).converted_to(*shown);
}

// Judging, estimating and drawing rely on these; a line that was written by another hand may not keep them.
bool is_consistent(const Step& step) {
  if (step.is_gate() == step.bolt.has_value()) return false;
  if (step.final_torque && step.final_torque->low.dimension() != Dimension::torque) return false;
  const auto wanted = step.kind == StageKind::yield    ? std::optional(units::one_unit().dimension)
                      : step.kind == StageKind::loosen ? std::optional(Dimension::angle)
                                                       : step.reading_dimension();
  return std::ranges::all_of(std::array{step.target, step.low, step.high}, [&](const auto& figure) {
    return !figure || step.kind == StageKind::measure || figure->dimension() == wanted;
  });
}

Step step_from(const Json& object) {
  text::JsonMembers j(object);
  Step step;
  step.step = need_integer(j, "step");
  step.stage = need_integer(j, "stage");
  step.stage_name = text_or_nothing(j, "stage_name");
  step.kind = need_kind(j);
  step.bolt = text_or_nothing(j, "bolt");
  step.label = text_or_nothing(j, "label");
  step.text = need_text(j, "text");
  const units::Unit* unit = unit_named(j.find("unit"));
  step.target = quantity(j, "target", unit);
  step.low = quantity(j, "low", unit);
  step.high = quantity(j, "high", unit);
  if (const bool* assumed = need(j, "assumed").as_bool()) step.assumed = *assumed;
  if (const std::int64_t* expect = need(j, "expect").as_integer()) step.expect = *expect;
  step.wait_s = need(j, "wait_s").as_number();
  const units::Unit* final_unit = unit_named(j.find("final_unit"));
  const auto is_torque = [](const units::Unit* u) {
    return u != nullptr && u->dimension == Dimension::torque;
  };
  const units::Unit* shown = is_torque(unit)         ? unit
                             : is_torque(final_unit) ? final_unit
                                                     : &units::newton_metre_unit();
  const units::Unit* scale = unit_named(j.find("setting_unit"));
  step.setting = quantity(j, "setting", is_torque(scale) ? scale : shown);
  step.prevailing = quantity(j, "prevailing", shown);
  step.may_yield = j.find("may_yield") != nullptr;
  if (final_unit != nullptr) {
    const auto low = quantity(j, "final_low", final_unit), high = quantity(j, "final_high", final_unit);
    if (low && high) step.final_torque = schedule::Window{*low, *high};
  }
  if (!is_consistent(step)) throw Damaged{};
  return step;
}

YieldPoint yield_point_from(const Json& j, std::string_view key) {
  return {quantity(j, key, &units::newton_metre_unit()), quantity(j, key, &units::degree_unit())};
}

Forecast forecast_from(const Json& j) {
  Forecast out{yield_point_from(j, "yield_from"), yield_point_from(j, "may_yield_from")};
  const Json* expected = j.find("expect_Nm");
  if (expected == nullptr || expected->is_null()) return out;
  const auto torque = [](const Json& from, std::string_view key) {
    if (const auto number = need(from, key).as_number()) return Measured(*number, units::newton_metre_unit());
    throw Damaged{};
  };
  out.expected =
      ExpectedTorque{torque(*expected, "p5"),   torque(*expected, "p95"), torque(*expected, "low"),
                     torque(*expected, "high"), torque(j, "least_Nm"),    torque(j, "least_rise_Nm")};
  return out;
}

// Plans that were kept by earlier programs have none.
std::vector<std::shared_ptr<const Forecast>> forecasts_from(const Json& record) {
  std::vector<std::shared_ptr<const Forecast>> out;
  if (record.find("forecasts") == nullptr) return out;
  for (const Json& j : need_array(record, "forecasts"))
    out.push_back(std::make_shared<const Forecast>(forecast_from(j)));
  return out;
}

Caution caution_from(const Json& j) {
  Caution out{need_text(j, "slug"), text_or_nothing(j, "fastener")};
  if (!need(j, "stage").is_null()) out.stage = need_integer(j, "stage");
  out.text = need_text(j, "text");
  out.have = need(j, "have").as_number();
  out.limit = need(j, "limit").as_number();
  return out;
}

PlanFastener fastener_from(const Json& j) {
  PlanFastener out{need_text(j, "name")};
  const std::string kind = need_text(j, "reuse");
  for (int k = 0; k <= static_cast<int>(schedule::ReuseKind::growth_below); ++k)
    if (schedule::name(static_cast<schedule::ReuseKind>(k)) == kind)
      out.reuse.kind = static_cast<schedule::ReuseKind>(k);
  out.reuse.times = need_integer(j, "times");
  out.reuse.growth = quantity(j, "growth", &units::millimetre_unit());
  out.left_hand = j.find("left_hand") != nullptr;
  return out;
}

Plan plan_from(const Json& record) {
  Plan plan;
  plan.title = need_text(record, "title");
  plan.machine = need_text(record, "machine");
  plan.notice = need_text(record, "notice");
  plan.view = need_text(record, "view");
  plan.order = need_ids(record, "order");
  for (const Json& j : need_array(record, "bolts"))
    plan.bolts.push_back({need_text(j, "id"), need_text(j, "fastener"), need_text(j, "group"),
                          quantity(j, "x", &units::millimetre_unit()),
                          quantity(j, "y", &units::millimetre_unit())});
  for (const Json& j : need_array(record, "fasteners")) plan.fasteners.push_back(fastener_from(j));
  for (const Json& j : need_array(record, "stages")) {
    plan.stages.push_back({need_integer(j, "stage"), text_or_nothing(j, "name"), need_kind(j),
                           need_ids(j, "bolts"), need_ids(j, "order"), need_text(j, "text")});
    if (const Json* tool = j.find("tool"))
      plan.stages.back().tool =
          StageTool{need_text(*tool, "name"), need_text(*tool, "text"), need_text(*tool, "adapter")};
  }
  const std::vector<std::shared_ptr<const Forecast>> forecasts = forecasts_from(record);
  for (const Json& j : need_array(record, "steps")) {
    Step step = step_from(j);
    if (j.find("forecast") != nullptr) {
      const auto place = static_cast<std::size_t>(need_integer(j, "forecast"));
      if (place >= forecasts.size()) throw Damaged{};
      step.forecast = forecasts[place];
    }
    // Entries name their step by its number: it must say which.
    if (!plan.steps.empty() && step.step <= plan.steps.back().step) throw Damaged{};
    plan.steps.push_back(std::move(step));
  }
  if (record.find("cautions") != nullptr)
    for (const Json& j : need_array(record, "cautions")) plan.cautions.push_back(caution_from(j));
  return plan;
}

}  // namespace

bool is_newer(const Json& record) {
  const Json* version = record.find("version");
  return version != nullptr && version->as_integer() != nullptr && *version->as_integer() > kPlanVersion;
}

std::optional<Plan> from_record(const Json& record) {
  if (is_newer(record)) return std::nullopt;
  try {
    return plan_from(record);
  } catch (const Damaged&) {
    return std::nullopt;
  }
}

}  // namespace clampbook::plan
