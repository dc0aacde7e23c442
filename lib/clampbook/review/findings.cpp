#include <clampbook/review/doubt.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/judge.h>
#include <clampbook/review/piece.h>
#include <clampbook/review/suspects.h>
#include <clampbook/review/tool_check.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>
#include <unordered_map>

namespace clampbook::review {

using plan::StageKind;
using text::Json;

std::string_view name(Severity severity) {
  switch (severity) {
    case Severity::fault:
      return "fault";
    case Severity::warning:
      return "warning";
    case Severity::note:
      break;
  }
  return "note";
}

namespace {

constexpr std::int64_t kLate = 120'000;     // ms between taking and writing from which an entry is late
constexpr std::int64_t kClockBack = 2'000;  // ms

class Finder {
 public:
  Finder(const record::Book& book, const std::vector<Pass>& passes, const Pass& pass, Until until,
         const PassEstimates* estimates)
      : book_(book),
        passes_(passes),
        pass_(pass),
        until_(until),
        estimates_(estimates),
        progress_(pass, true),
        next_fitting_(pass.fittings.begin()) {}

  std::vector<Finding> find() {
    find_corrections();
    for (const Entry& entry : pass_.entries) {
      reopen_before(entry.seq);
      const Step* step = progress_.find(entry.step);
      if (step == nullptr) continue;
      if (const auto later = corrected_by_.find(entry.seq); later != corrected_by_.end()) {
        follow(*step, *later->second, entry.at);
      } else if (in_place_.contains(entry.seq)) {
        corrected_late(*step, entry);
      } else if (!entry.voided_by) {
        follow(*step, entry, entry.at);
      }
    }
    reopen_before(INT64_MAX);
    for (const Entry& entry : pass_.entries)
      if (const Step* step = progress_.find(entry.step); step != nullptr && !entry.voided_by)
        judge(*step, entry);
    for (const Step& step : pass_.plan.steps)
      if (!progress_.filled(step.step)) unfilled(step);
    doubts();
    const Pieces pieces(passes_, pass_.number);
    reused(pieces);
    judge_odd_ones(pass_, progress_, out_);
    if (until_ != Until::at_once) judge_friction(pass_, progress_, pieces, estimates_, out_);
    judge_operation(book_, passes_, pass_, out_);
    soften_past_pieces();
    corrections();
    acceptances();
    std::stable_sort(out_.begin(), out_.end(), [](const Finding& a, const Finding& b) {
      return std::make_pair(a.step, a.seq) < std::make_pair(b.step, b.seq);
    });
    whole_pass();
    return std::move(out_);
  }

 private:
  // A bolt that was taken out or replaced begins again.
  void reopen_before(std::int64_t seq) {
    for (; next_fitting_ != pass_.fittings.end() && next_fitting_->seq < seq; ++next_fitting_) {
      progress_.reopen(next_fitting_->bolt);
      refitted_.insert(next_fitting_->bolt);
    }
  }

  // A reading that corrects another comes where that one came: the bolt was turned in its time, or is pulled
  // on. A gate is done again.
  void find_corrections() {
    for (const Entry& entry : pass_.entries) {
      const Step* step = progress_.find(entry.step);
      if (entry.voided_by || !entry.corrects || step == nullptr || step->is_gate()) continue;
      const Entry* first = &entry;
      while (first->corrects) {
        const Entry* before = entry_on(pass_, *first->corrects);
        if (before == nullptr || before->seq >= first->seq || before->step != entry.step ||
            before->past_piece != entry.past_piece)
          break;
        first = before;
      }
      if (first != &entry && !another_between(*first, entry)) {
        corrected_by_[first->seq] = &entry;
        in_place_.insert(entry.seq);
      }
    }
  }

  // Whether the step has an entry that counts between the two.
  [[nodiscard]] bool another_between(const Entry& first, const Entry& last) const {
    const auto at = pass_.entries_at.find(last.step);
    return at != pass_.entries_at.end() &&
           std::any_of(at->second.begin(), at->second.end(), [&](std::size_t i) {
             const Entry& e = pass_.entries[i];
             return e.seq > first.seq && e.seq < last.seq && !e.voided_by;
           });
  }

  void judge(const Step& step, const Entry& entry) {
    if (progress_.standing(entry.step) == &entry || entry.past_piece) {
      const auto own = static_cast<std::ptrdiff_t>(out_.size());
      judge_entry(progress_, step, entry, out_);
      // Turned twice, the bolt is further round than the last reading says: to turn on would be wrong.
      if (step.kind == StageKind::angle && !entry.past_piece && progress_.read_again(step.step))
        out_.erase(
            std::remove_if(out_.begin() + own, out_.end(), [](const Finding& f) { return f.slug == "low"; }),
            out_.end());
      judge_tool(pass_, step, entry, out_);
      waited(step, entry);
    } else {
      judge_replaced(progress_, step, entry, out_);
    }
  }

  // What the order of the entries shows; `turned` is when the bolt was.
  void follow(const Step& step, const Entry& entry, record::Timestamp turned) {
    const Entry* before = progress_.standing(step.step);
    if (step.kind == StageKind::angle && entry.value && entry.value->dimension() == units::Dimension::angle) {
      Turned& turns = turned_[step.step];
      if (before == nullptr) turns = {};
      ++turns.times;
      turns.degrees += entry.value->in(units::degree_unit());
    }
    if (before != nullptr) {
      if (!step.is_gate()) doubled(step, *before, entry);  // a gate may be done again until it is right
    } else if (const int highest = highest_before(step); highest > step.step) {
      Finding f = about("out-of-order", pass_, step, &entry,
                        fmt::format("{}: entered after step {} of {}", place_of(pass_, step), highest,
                                    pass_.plan.steps.back().step),
                        remedy_for("out-of-order", step));
      f.severity = Severity::warning;
      out_.push_back(std::move(f));
    }
    if (step.kind == StageKind::angle) torque_first(step, entry);
    if (step.kind == StageKind::wait && last_reading_)
      since_reading_[entry.seq] = entry.at.milliseconds - last_reading_->milliseconds;
    if (entry.written.milliseconds - entry.at.milliseconds > kLate) {
      Finding f = about("late-entry", pass_, step, &entry,
                        fmt::format("{}: taken at {}, entered at {}", place_of(pass_, step),
                                    record::to_string(entry.at), record::to_string(entry.written)),
                        "nothing to do, if the time is right");
      f.severity = Severity::note;
      out_.push_back(std::move(f));
    }
    if (!step.is_gate()) last_reading_ = turned;
    progress_.fill(entry);
  }

  // Nobody can tell whether it was mistyped then, or is pulled on now, after what was built upon it.
  void corrected_late(const Step& step, const Entry& entry) {
    last_reading_ = entry.at;
    const int later = progress_.highest_filled(&*step.bolt);
    if (later <= step.step) return;
    Finding f =
        about("out-of-order", pass_, step, &entry,
              fmt::format("{}: corrected after step {} of {}", place_of(pass_, step), later,
                          pass_.plan.steps.back().step),
              "if it had only been mistyped, accept it with that reason; if the bolt was pulled on now, its "
              "later stages began from less than they should have: loosen it fully and start it again at "
              "snug, or fit a new one if it may be past its yield point");
    f.severity = Severity::warning;
    out_.push_back(std::move(f));
  }

  // A new or refitted bolt comes late in any case: only its own steps tell whether it was brought through in
  // order.
  [[nodiscard]] int highest_before(const Step& step) const {
    const std::string* bolt = step.bolt ? &*step.bolt : step.label ? &*step.label : nullptr;
    if (bolt == nullptr || !refitted_.contains(*bolt)) return progress_.highest_filled();
    return step.bolt ? progress_.highest_filled(bolt) : 0;
  }

  void doubled(const Step& step, const Entry& before, const Entry& entry) {
    const auto shown = [](const Entry& e) {
      return e.value ? units::format(*e.value) : e.given.empty() ? std::string("done") : e.given;
    };
    std::string text = fmt::format("{}: read twice, {} (line {}) and {} (line {})", place_of(pass_, step),
                                   shown(before), before.seq, shown(entry), entry.seq);
    if (const auto turned = turned_.find(step.step); turned != turned_.end() && turned->second.times > 1) {
      const auto& [times, degrees] = turned->second;
      text +=
          fmt::format("; turned {}, that is {} in all", times == 2 ? "twice" : fmt::format("{} times", times),
                      units::format(Measured(degrees, units::degree_unit())));
    }
    out_.push_back(about("doubled", pass_, step, &entry, std::move(text), remedy_for("doubled", step)));
  }

  void torque_first(const Step& step, const Entry& entry) {
    for (const std::size_t position : pass_.index.turning(*step.bolt)) {
      const Step& earlier = pass_.plan.steps[position];
      if (earlier.step >= step.step) break;
      if ((earlier.kind != StageKind::snug && earlier.kind != StageKind::torque) ||
          progress_.filled(earlier.step))
        continue;
      out_.push_back(
          about("angle-without-torque", pass_, step, &entry,
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
    out_.push_back(
        about("wait-short", pass_, step, &entry,
              fmt::format("{}: ticked {} s after the last reading, {} s are asked for", place_of(pass_, step),
                          units::format_number(seconds), units::format_number(*step.wait_s)),
              remedy_for("wait-short", step)));
  }

  void unfilled(const Step& step) {
    const bool passed = progress_.highest_filled() > step.step;
    if (!passed && until_ != Until::finished) return;
    const char* slug = step.is_gate() ? "gate-open" : "missed-step";
    Finding f = about(slug, pass_, step, nullptr,
                      fmt::format("{}: {}", place_of(pass_, step),
                                  step.is_gate() ? "not ticked off"
                                  : passed       ? "no reading though later steps have theirs"
                                                 : "no reading yet"),
                      remedy_for(slug, step));
    f.state = passed ? "passed_over" : "not_reached";
    out_.push_back(std::move(f));
  }

  void add(std::string slug, Severity severity, std::int64_t seq, std::string text, std::string remedy) {
    Finding f;
    f.slug = std::move(slug);
    f.severity = severity;
    f.pass = pass_.number;
    f.seq = seq;
    f.text = std::move(text);
    f.remedy = std::move(remedy);
    out_.push_back(std::move(f));
  }

  void doubts() {
    std::optional<plan::Prepared> prepared;
    for (const Doubt& doubt : pass_.doubts) {
      if (doubt.resolved) continue;
      if (!prepared) prepared = prepared_of(pass_).value_or(plan::Prepared());
      add("unsure", Severity::fault, doubt.seq,
          fmt::format("bolt {}: in doubt since line {}", doubt.bolt, doubt.seq),
          doubt_advice(pass_, doubt, prepared->predictions));
      out_.back().bolt = doubt.bolt;
      if (const Step* step = progress_.find(doubt.step)) {
        out_.back().step = step->step;
        out_.back().stage = step->stage;
        out_.back().text = fmt::format("{}: in doubt since line {}", place_of(pass_, *step), doubt.seq);
      }
    }
  }

  void reused(const Pieces& pieces) {
    for (const plan::PlanBolt& bolt : pass_.plan.bolts) {
      if (pass_.index.turning(bolt.id).empty()) continue;
      const Piece* piece = pieces.at(pass_.title, bolt.id);
      if (piece == nullptr || !piece->overused()) continue;
      const auto limit = piece->limit();
      std::string text = fmt::format("bolt {} ({}): ", piece->bolt, piece->fastener);
      text += limit
                  ? fmt::format("tightened {} times, {} allowed", piece->tightened, *limit)
                  : fmt::format("its free length has grown by {:.3f} mm, less than {} is allowed",
                                *piece->free_last - *piece->free_first, units::format(*piece->reuse.growth));
      add("reused-fastener", Severity::fault, piece->fitted_seq, std::move(text),
          "fit a new bolt, record it as fitted, and bring it through all stages");
      out_.back().bolt = piece->bolt;
    }
  }

  // What was read on a bolt that is no longer there is history.
  void soften_past_pieces() {
    for (Finding& f : out_) {
      if (!f.seq || f.severity == Severity::note) continue;
      const Entry* entry = entry_on(pass_, *f.seq);
      if (entry == nullptr || !entry->past_piece) continue;
      f.severity = Severity::note;
      f.text += " (a bolt that was taken out since)";
      f.remedy = "nothing to do: the bolt is no longer there";
    }
  }

  void corrections() {
    for (const Entry& entry : pass_.entries) {
      if (!entry.corrects) continue;
      const Step* step = progress_.find(entry.step);
      add("corrected", Severity::note, entry.seq,
          fmt::format("{}: line {} corrects line {}", step != nullptr ? place_of(pass_, *step) : "an entry",
                      entry.seq, *entry.corrects),
          "nothing to do; both lines stay in the book");
      if (step != nullptr) {
        out_.back().step = step->step;
        out_.back().stage = step->stage;
        out_.back().bolt = step->bolt;
      }
    }
    for (const Voiding& v : pass_.voidings)
      add("corrected", Severity::note, v.seq,
          fmt::format("line {} was voided{}", v.voids, v.because.empty() ? "" : ": " + v.because),
          "nothing to do; both lines stay in the book");
  }

  void acceptances() {
    std::unordered_map<std::int64_t, std::string> reasons;
    for (const Acceptance& a : pass_.acceptances) reasons[a.accepts] = a.because;
    for (Finding& f : out_) {
      if (!f.seq || f.severity == Severity::note) continue;
      if (const auto reason = reasons.find(*f.seq); reason != reasons.end()) f.accepted = reason->second;
    }
    for (const Acceptance& a : pass_.acceptances)
      add("accepted", Severity::note, a.seq,
          fmt::format("what was found on line {} was accepted: {}", a.accepts, a.because),
          "nothing to do; the finding stays in the record");
  }

  void whole_pass() {
    for (const record::Damage& d : book_.damages) {
      if (d.torn) {
        add("torn-line", Severity::note, d.seq, "the book: " + d.what,
            "nothing to do: it was never acknowledged");
      } else {
        add("altered-record", Severity::fault, d.seq, "the book: " + d.what,
            "compare with a copy of the book or with the printed report; enter again what is missing, with a "
            "note");
      }
    }
    for (std::size_t i = 1; i < book_.events.size(); ++i) {
      const record::Event &before = book_.events[i - 1], &event = book_.events[i];
      if (before.written.milliseconds - event.written.milliseconds > kClockBack)
        add("clock-back", Severity::warning, event.seq,
            fmt::format("line {} was written at {}, before the line above it", event.seq,
                        record::to_string(event.written)),
            "set the clock; the order of the lines is what counts");
    }
    if (pass_.trial)
      add("trial-pass", Severity::note, pass_.seq,
          "this is a trial pass: its bolts count as tightened, the joint does not count as built",
          "begin the final pass when the parts are ready");
  }

  const record::Book& book_;
  const std::vector<Pass>& passes_;
  const Pass& pass_;
  Until until_;
  const PassEstimates* estimates_;
  Progress progress_;
  std::vector<Fitting>::const_iterator next_fitting_;
  std::set<std::string> refitted_;
  std::unordered_map<std::int64_t, const Entry*>
      corrected_by_;                 // a first line, and the one that stands for it
  std::set<std::int64_t> in_place_;  // those corrections
  struct Turned {
    int times = 0;
    double degrees = 0;
  };
  std::map<int, Turned> turned_;  // of the piece that sits there, by the number of the angle step
  std::optional<record::Timestamp> last_reading_;
  std::map<std::int64_t, std::int64_t> since_reading_;  // by line of a tick: ms since the last reading
  std::vector<Finding> out_;
};

}  // namespace

std::vector<Finding> find_findings(const record::Book& book, const std::vector<Pass>& passes,
                                   const Pass& pass, Until until, const PassEstimates* estimates) {
  return Finder(book, passes, pass, until, estimates).find();
}

std::vector<Finding> not_in(const std::vector<Finding>& known, std::vector<Finding> findings) {
  using Identity = std::tuple<std::string_view, std::int64_t, std::optional<int>, std::optional<std::int64_t>,
                              std::string_view>;
  const auto identity = [](const Finding& f) {
    return Identity(f.slug, f.pass, f.step, f.seq, f.state ? std::string_view(*f.state) : std::string_view());
  };
  std::set<Identity> said;
  for (const Finding& f : known) said.insert(identity(f));
  std::erase_if(findings, [&](const Finding& f) { return said.contains(identity(f)); });
  return findings;
}

bool falls_short(const std::vector<Finding>& findings) {
  return std::any_of(findings.begin(), findings.end(),
                     [](const Finding& f) { return f.severity != Severity::note && !f.accepted; });
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
