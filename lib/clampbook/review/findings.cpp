#include <clampbook/review/finding.h>
#include <clampbook/review/judge.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace clampbook::review {

using plan::StageKind;
using text::Json;

std::string_view name(Severity severity) {
  switch (severity) {
    case Severity::fault: return "fault";
    case Severity::warning: return "warning";
    case Severity::note: break;
  }
  return "note";
}

bool Finding::same_as(const Finding& other) const {
  return slug == other.slug && pass == other.pass && step == other.step && seq == other.seq && state == other.state;
}

namespace {

constexpr std::int64_t kLate = 120'000;     // ms between taking and writing from which an entry is late
constexpr std::int64_t kClockBack = 2'000;  // ms

class Finder {
 public:
  Finder(const record::Book& book, const Pass& pass, Until until) : book_(book), pass_(pass), until_(until), progress_(pass, true) {}

  std::vector<Finding> find() {
    for (const Entry& entry : pass_.entries)
      if (const Step* step = progress_.find(entry.step)) follow(*step, entry);
    for (const Entry& entry : pass_.entries) {
      const Step* step = progress_.find(entry.step);
      if (step == nullptr) continue;
      if (progress_.standing(entry.step) == &entry) {
        judge_entry(progress_, *step, entry, out_);
        waited(*step, entry);
      } else {
        judge_replaced(progress_, *step, entry, out_);
      }
    }
    for (const Step& step : pass_.plan.steps)
      if (!progress_.filled(step.step)) unfilled(step);
    std::stable_sort(out_.begin(), out_.end(), [](const Finding& a, const Finding& b) {
      return std::make_pair(a.step, a.seq) < std::make_pair(b.step, b.seq);
    });
    whole_pass();
    return std::move(out_);
  }

 private:
  // What the order of the entries shows.
  void follow(const Step& step, const Entry& entry) {
    if (const Entry* before = progress_.standing(step.step)) {
      if (!step.is_gate()) doubled(step, *before, entry);  // a gate may be done again until it is right
    } else if (progress_.highest_filled() > step.step) {
      Finding f = about("out-of-order", pass_, step, &entry,
                        fmt::format("{}: entered after step {} of {}", place_of(pass_, step), progress_.highest_filled(), pass_.plan.steps.back().step),
                        remedy_for("out-of-order", step));
      f.severity = Severity::warning;
      out_.push_back(std::move(f));
    }
    if (step.kind == StageKind::angle) torque_first(step, entry);
    if (step.kind == StageKind::wait && last_reading_) since_reading_[entry.seq] = entry.at.milliseconds - last_reading_->milliseconds;
    if (entry.written.milliseconds - entry.at.milliseconds > kLate) {
      Finding f = about("late-entry", pass_, step, &entry,
                        fmt::format("{}: taken at {}, entered at {}", place_of(pass_, step), record::to_string(entry.at), record::to_string(entry.written)),
                        "nothing to do, if the time is right");
      f.severity = Severity::note;
      out_.push_back(std::move(f));
    }
    if (!step.is_gate()) last_reading_ = entry.at;
    progress_.fill(entry);
  }

  void doubled(const Step& step, const Entry& before, const Entry& entry) {
    const auto shown = [](const Entry& e) { return e.value ? units::format(*e.value) : e.given.empty() ? std::string("done") : e.given; };
    std::string text = fmt::format("{}: read twice, {} (line {}) and {} (line {})", place_of(pass_, step), shown(before), before.seq, shown(entry), entry.seq);
    if (step.kind == StageKind::angle && before.value && entry.value)
      text += fmt::format("; turned twice, that is {} in all", units::format(Measured(before.value->number() + entry.value->in(before.value->unit()), before.value->unit())));
    out_.push_back(about("doubled", pass_, step, &entry, std::move(text), remedy_for("doubled", step)));
  }

  void torque_first(const Step& step, const Entry& entry) {
    for (const Step& earlier : pass_.plan.steps) {
      if (earlier.step >= step.step) break;
      if (earlier.bolt != step.bolt || (earlier.kind != StageKind::snug && earlier.kind != StageKind::torque) || progress_.filled(earlier.step)) continue;
      out_.push_back(about("angle-without-torque", pass_, step, &entry,
                           fmt::format("{}: turned before {} was read", place_of(pass_, step), place_of(pass_, earlier)),
                           remedy_for("angle-without-torque", step)));
      return;
    }
  }

  void waited(const Step& step, const Entry& entry) {
    const auto since = since_reading_.find(entry.seq);
    if (since == since_reading_.end() || !step.wait_s) return;
    const double seconds = static_cast<double>(since->second) / 1000;
    if (seconds >= *step.wait_s * (1 - 1e-9)) return;
    out_.push_back(about("wait-short", pass_, step, &entry,
                         fmt::format("{}: ticked {} s after the last reading, {} s are asked for", place_of(pass_, step), units::format_number(seconds), units::format_number(*step.wait_s)),
                         remedy_for("wait-short", step)));
  }

  void unfilled(const Step& step) {
    const bool passed = progress_.highest_filled() > step.step;
    if (!passed && until_ == Until::so_far) return;
    const char* slug = step.is_gate() ? "gate-open" : "missed-step";
    Finding f = about(slug, pass_, step, nullptr,
                      fmt::format("{}: {}", place_of(pass_, step), step.is_gate() ? "not ticked off" : passed ? "no reading though later steps have theirs" : "no reading yet"),
                      remedy_for(slug, step));
    f.state = passed ? "passed_over" : "not_reached";
    out_.push_back(std::move(f));
  }

  void whole_pass() {
    for (const record::Damage& d : book_.damages) {
      Finding f;
      f.slug = d.torn ? "torn-line" : "altered-record";
      f.severity = d.torn ? Severity::note : Severity::fault;
      f.pass = pass_.number;
      f.seq = d.seq;
      f.text = "the book: " + d.what;
      f.remedy = d.torn ? "nothing to do: it was never acknowledged" : "compare with a copy of the book or with the printed report; enter again what is missing, with a note";
      out_.push_back(std::move(f));
    }
    for (std::size_t i = 1; i < book_.events.size(); ++i) {
      const record::Event &before = book_.events[i - 1], &event = book_.events[i];
      if (before.written.milliseconds - event.written.milliseconds <= kClockBack) continue;
      Finding f;
      f.slug = "clock-back";
      f.severity = Severity::warning;
      f.pass = pass_.number;
      f.seq = event.seq;
      f.text = fmt::format("line {} was written at {}, before the line above it", event.seq, record::to_string(event.written));
      f.remedy = "set the clock; the order of the lines is what counts";
      out_.push_back(std::move(f));
    }
    if (!pass_.trial) return;
    Finding f;
    f.slug = "trial-pass";
    f.severity = Severity::note;
    f.pass = pass_.number;
    f.text = "this is a trial pass: its bolts count as tightened, the joint does not count as built";
    f.remedy = "begin the final pass when the parts are ready";
    out_.push_back(std::move(f));
  }

  const record::Book& book_;
  const Pass& pass_;
  Until until_;
  Progress progress_;
  std::optional<record::Timestamp> last_reading_;
  std::map<std::int64_t, std::int64_t> since_reading_;  // by line of a tick: milliseconds since the last reading
  std::vector<Finding> out_;
};

}  // namespace

std::vector<Finding> find_findings(const record::Book& book, const Pass& pass, Until until) { return Finder(book, pass, until).find(); }

bool falls_short(const std::vector<Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(), [](const Finding& f) { return f.severity != Severity::note && !f.accepted; });
}

bool is_complete(const Pass& pass, const std::vector<Finding>& findings) {
  return Progress(pass).complete() && std::none_of(findings.begin(), findings.end(), [](const Finding& f) {
           return f.severity == Severity::fault && !f.accepted;
         });
}

Json to_json(const Finding& f) {
  return Json::object()
      .set("slug", f.slug)
      .set("severity", name(f.severity))
      .set("pass", f.pass)
      .set("stage", f.stage)
      .set("step", f.step)
      .set("bolt", f.bolt)
      .set("seq", f.seq)
      .set("state", f.state)
      .set("fits_step", f.fits_step)
      .set("text", f.text)
      .set("remedy", f.remedy)
      .set("accepted", f.accepted);
}

}  // namespace clampbook::review
