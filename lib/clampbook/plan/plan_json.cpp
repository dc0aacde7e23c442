#include <clampbook/plan/plan_json.h>

#include <algorithm>
#include <array>
#include <string>

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

Json to_json(const Step& step) {
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
  append_list<Step>(out, "steps", plan.steps, to_json);
  append_list<Caution>(out, "cautions", plan.cautions, to_json);
  out.push_back('}');
  return out;
}

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
  for (const Step& step : plan.steps) {
    Json j = to_json(step);
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
      .set("steps", std::move(steps));
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
  const std::string word = need_text(object, "kind");
  for (int k = 0; k <= static_cast<int>(StageKind::wait); ++k)
    if (schedule::name(static_cast<StageKind>(k)) == word) return static_cast<StageKind>(k);
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
  step.setting = quantity(j, "setting", shown);
  step.prevailing = quantity(j, "prevailing", shown);
  step.may_yield = j.find("may_yield") != nullptr;
  if (final_unit != nullptr) {
    const auto low = quantity(j, "final_low", final_unit), high = quantity(j, "final_high", final_unit);
    if (low && high) step.final_torque = schedule::Window{*low, *high};
  }
  if (!is_consistent(step)) throw Damaged{};
  return step;
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
  for (const Json& j : need_array(record, "steps")) {
    Step step = step_from(j);
    // Entries name their step by its number: it must say which.
    if (!plan.steps.empty() && step.step <= plan.steps.back().step) throw Damaged{};
    plan.steps.push_back(std::move(step));
  }
  return plan;
}

}  // namespace

std::optional<Plan> from_record(const Json& record) {
  try {
    return plan_from(record);
  } catch (const Damaged&) {
    return std::nullopt;
  }
}

}  // namespace clampbook::plan
