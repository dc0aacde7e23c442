#include <clampbook/plan/plan_json.h>
#include <clampbook/report/pass_json.h>
#include <clampbook/review/bolt_state.h>

#include <algorithm>

namespace clampbook::report {

using review::Finding;
using text::Json;

namespace {

Json interval_json(const std::optional<review::Interval>& interval) {
  if (!interval) return {};
  return Json::object().set("nominal", interval->median).set("p5", interval->p5).set("p95", interval->p95);
}

Json bolts_json(const std::vector<review::BoltState>& states) {
  Json out = Json::array();
  for (const review::BoltState& state : states) {
    Json readings = Json::array();
    for (const std::int64_t seq : state.readings) readings.push(seq);
    Json bolt =
        Json::object()
            .set("id", state.id)
            .set("fastener", state.fastener)
            .set("uses", state.uses)
            .set("readings", std::move(readings))
            .set("preload_N", interval_json(state.estimate.preload))
            .set("friction", interval_json(state.estimate.friction))
            .set("yielded",
                 state.estimate.yielded ? Json::object().set("probability", *state.estimate.yielded) : Json())
            .set("why_not", state.estimate.why_not.empty() ? Json() : Json(state.estimate.why_not));
    if (state.estimate.loosened) bolt.set("loosened", true);
    out.push(std::move(bolt));
  }
  return out;
}

}  // namespace

Json check_json(const std::string& book_name, const record::Book& book, const review::Pass& pass,
                const std::vector<Finding>& findings, const std::vector<review::BoltState>& bolts) {
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
      .set("bolts", bolts_json(bolts))
      .set("seal", book.seal)
      .set("next", due != nullptr ? plan::to_json(*due) : Json());
}

}  // namespace clampbook::report
