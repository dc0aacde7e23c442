#include <clampbook/report/record_charts.h>
#include <clampbook/report/record_parts.h>

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

namespace clampbook::report {

using units::Measured;

namespace {

constexpr std::size_t kLarge = 2000;  // bolts

BoltMark mark_of(const review::Finding& f) {
  if (f.accepted) return BoltMark::accepted;
  if (f.severity == review::Severity::note) return BoltMark::in_window;
  if (f.slug == "missed-step") return BoltMark::open;
  return f.severity == review::Severity::fault ? BoltMark::fault : BoltMark::warning;
}

}  // namespace

std::vector<BoltMark> bolt_marks(const review::Pass& pass, const std::vector<review::Finding>& findings) {
  std::vector<BoltMark> out(pass.plan.bolts.size(), BoltMark::in_window);
  // A bolt that the pass is not for has nothing to be in.
  for (std::size_t i = 0; i < out.size(); ++i)
    if (pass.index.turning(pass.plan.bolts[i].id).empty()) out[i] = BoltMark::open;
  for (const review::Finding& f : findings) {
    if (!f.bolt) continue;
    if (const auto position = pass.index.bolt(*f.bolt)) out[*position] = std::max(out[*position], mark_of(f));
  }
  return out;
}

RecordParts::RecordParts(const Record& r, const std::vector<review::BoltState>& s, const TextStyle& t)
    : record(r),
      states(s),
      style(t),
      progress(r.pass),
      marks(bolt_marks(r.pass, r.findings)),
      schedule(review::schedule_of(r.pass)),
      large(r.pass.plan.bolts.size() > kLarge) {
  for (const plan::Step& step : r.pass.plan.steps) steps[step.stage].push_back(&step);
  if (!schedule) return;
  if (std::optional<plan::Prepared> prepared = review::prepared_of(r.pass)) {
    predictions = std::move(prepared->predictions);
    cautions = prepared->plan->cautions;
  }
}

std::string moment(record::Timestamp at, bool utc) {
  if (utc) at.offset_minutes = 0;
  const std::string full = record::to_string(at);  // 2026-05-04T09:30:12.000+02:00
  return fmt::format("{} {} {}", full.substr(0, 10), full.substr(11, 8), utc ? "UTC" : full.substr(23));
}

std::string entry_words(const review::Entry& entry, const TextStyle& style, bool short_words) {
  const auto shown = [&](const Measured& m) {
    return short_words ? units::format(m) : both_systems(m, style);
  };
  std::string out = entry.value   ? shown(*entry.value)
                    : entry.count ? units::format_number(*entry.count)
                                  : std::string("done");
  if (entry.also) out += ", also " + shown(*entry.also);
  if (entry.click) out += ", by the click";
  if (entry.no_turn) out += ", without turning the bolt";
  return out;
}

std::string window_words(const plan::Step& step, const TextStyle& style, bool short_words) {
  if (step.low && step.high)
    return short_words ? units::format_range(*step.low, *step.high, step.high->unit())
                       : both_systems(*step.low, *step.high, style);
  if (step.low) return "at least " + both_systems(*step.low, style);
  if (step.high) return "at most " + both_systems(*step.high, style);
  if (step.expect) return fmt::format("{} expected", *step.expect);
  return {};
}

}  // namespace clampbook::report
