#include <clampbook/plan/plan_json.h>
#include <clampbook/report/pass_json.h>
#include <clampbook/review/piece.h>

#include <algorithm>

namespace clampbook::report {

using review::Finding;
using text::Json;

namespace {

double newtons(joint::Force force) {
  return units::value_in(force, units::newton);
}

template <class Quantity, class Number>
Json estimate_json(const std::optional<plan::Estimate<Quantity>>& estimate, Number number) {
  if (!estimate) return {};
  return Json::object()
      .set("nominal", number(estimate->nominal))
      .set("p5", number(estimate->p5))
      .set("p95", number(estimate->p95));
}

Json bolts_json(const std::vector<review::BoltState>& states) {
  Json out = Json::array();
  for (const review::BoltState& state : states) {
    Json readings = Json::array();
    for (const std::int64_t seq : state.readings) readings.push(seq);
    out.push(Json::object()
                 .set("id", state.id)
                 .set("fastener", state.fastener)
                 .set("uses", state.uses)
                 .set("readings", std::move(readings))
                 .set("preload_N", estimate_json(state.preload, newtons))
                 .set("friction", estimate_json(state.friction, [](double mu) { return mu; }))
                 .set("yielded", state.yielded ? Json::object().set("probability", *state.yielded) : Json())
                 .set("why_not", state.why_not.empty() ? Json() : Json(state.why_not)));
  }
  return out;
}

}  // namespace

Json check_json(const std::string& book_name, const record::Book& book,
                const std::vector<review::Pass>& passes, const review::Pass& pass,
                const std::vector<Finding>& findings) {
  const review::Progress progress(pass);
  const auto missed = std::count_if(findings.begin(), findings.end(), [](const Finding& f) {
    return f.slug == "missed-step" || f.slug == "gate-open";
  });
  Json list = Json::array();
  for (const Finding& finding : findings) list.push(review::to_json(finding));
  const plan::Step* due = progress.due();
  return Json::object()
      .set("book", book_name)
      .set("pass", pass.number)
      .set("trial", pass.trial)
      .set("complete", review::is_complete(pass, findings))
      .set("steps", Json::object()
                        .set("planned", pass.plan.steps.size())
                        .set("filled", progress.filled_count())
                        .set("missed", static_cast<std::int64_t>(missed)))
      .set("findings", std::move(list))
      .set("bolts", bolts_json(review::bolt_states(passes, pass)))
      .set("seal", book.seal)
      .set("next", due != nullptr ? plan::to_json(*due) : Json());
}

}  // namespace clampbook::report
