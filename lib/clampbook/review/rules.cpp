#include <clampbook/review/doubt.h>
#include <clampbook/review/judge.h>
#include <clampbook/review/rules.h>
#include <clampbook/review/tool_check.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <utility>

namespace clampbook::review {

using plan::StageKind;
using Part = FindingKey::Part;
using Rule = FindingKey::Rule;

namespace {

constexpr std::int64_t kLate = 120'000;     // ms between taking and writing from which an entry is late
constexpr std::int64_t kClockBack = 2'000;  // ms

Finding plain(const Pass& pass, std::string slug, Severity severity, std::int64_t seq, std::string text,
              std::string remedy) {
  Finding f;
  f.slug = std::move(slug);
  f.severity = severity;
  f.pass = pass.number;
  f.seq = seq;
  f.text = std::move(text);
  f.remedy = std::move(remedy);
  return f;
}

// What was read on a bolt that is no longer there is history.
void soften_past_piece(const Pass& pass, Finding& f) {
  if (!f.seq || f.severity == Severity::note) return;
  const Entry* entry = entry_on(pass, *f.seq);
  if (entry == nullptr || !entry->past_piece) return;
  f.severity = Severity::note;
  f.text += " (a bolt that was taken out since)";
  f.remedy = "nothing to do: the bolt is no longer there";
}

}  // namespace

void Findings::add(Rule rule, std::size_t nth, Finding finding) {
  if (rule < Rule::correction) soften_past_piece(pass_, finding);
  const FindingKey key{Part::steps, finding.step, finding.seq, rule, nth};
  found_.push_back({key, std::move(finding)});
}

void Findings::add(Part part, std::size_t nth, Finding finding) {
  found_.push_back({{.part = part, .nth = nth}, std::move(finding)});
}

namespace {

// All that is said of one step.
class StepJudge {
 public:
  StepJudge(const Pass& pass, const std::vector<Arrival>& arrivals, const Step& step, Findings& out)
      : pass_(pass), arrivals_(arrivals), progress_(pass), step_(step), out_(out) {}

  void entry(std::size_t i) {
    const Entry& entry = pass_.entries[i];
    switch (arrivals_[i].place) {
      case Arrival::Place::none:
        break;
      case Arrival::Place::own:
        followed(arrivals_[i]);
        break;
      case Arrival::Place::corrected:
        corrected_late(entry, arrivals_[i]);
        break;
    }
    if (!entry.voided_by) judge(entry, arrivals_[i]);
    if (entry.corrects) correction(entry);
  }

  void open(Until until) {
    const bool passed = progress_.highest_filled() > step_.step;
    if (!passed && until != Until::finished) return;
    const char* slug = step_.is_gate() ? "gate-open" : "missed-step";
    Finding f = about(slug, pass_, step_, nullptr,
                      fmt::format("{}: {}", place_of(pass_, step_),
                                  step_.is_gate() ? "not ticked off"
                                  : passed        ? "no reading though later steps have theirs"
                                                  : "no reading yet"),
                      remedy_for(slug, step_));
    f.state = passed ? "passed_over" : "not_reached";
    out_.add(Rule::open, 0, std::move(f));
  }

 private:
  void add(Rule rule, Finding f) { out_.add(rule, nth_++, std::move(f)); }

  // What the order of the entries shows.
  void followed(const Arrival& arrival) {
    const Entry& entry = pass_.entries[arrival.entry];
    if (arrival.before) {
      if (!step_.is_gate()) doubled(arrival, entry);  // a gate may be done again until it is right
    } else if (arrival.highest > step_.step) {
      out_of_order(entry, fmt::format("entered after step {}", arrival.highest),
                   remedy_for("out-of-order", step_));
    }
    if (arrival.without != 0) torque_first(entry, arrival);
    if (entry.written.milliseconds - entry.at.milliseconds <= kLate) return;
    Finding f = about("late-entry", pass_, step_, &entry,
                      fmt::format("{}: taken at {}, entered at {}", place_of(pass_, step_),
                                  record::to_string(entry.at), record::to_string(entry.written)),
                      "nothing to do, if the time is right");
    f.severity = Severity::note;
    add(Rule::order, std::move(f));
  }

  void out_of_order(const Entry& entry, std::string_view how, std::string remedy) {
    Finding f = about("out-of-order", pass_, step_, &entry,
                      fmt::format("{}: {} of {}", place_of(pass_, step_), how, pass_.plan.steps.back().step),
                      std::move(remedy));
    f.severity = Severity::warning;
    add(Rule::order, std::move(f));
  }

  void corrected_late(const Entry& entry, const Arrival& arrival) {
    if (arrival.highest <= step_.step) return;
    out_of_order(
        entry, fmt::format("corrected after step {}", arrival.highest),
        "if it had only been mistyped, accept it with that reason; if the bolt was pulled on now, its "
        "later stages began from less than they should have: loosen it fully and start it again at "
        "snug, or fit a new one if it may be past its yield point");
  }

  void doubled(const Arrival& arrival, const Entry& entry) {
    const auto shown = [](const Entry& e) {
      return e.value ? units::format(*e.value) : e.given.empty() ? std::string("done") : e.given;
    };
    const Entry& before = pass_.entries[*arrival.before];
    std::string text = fmt::format("{}: read twice, {} (line {}) and {} (line {})", place_of(pass_, step_),
                                   shown(before), before.seq, shown(entry), entry.seq);
    if (const auto [times, degrees] = turns_with(arrival, step_, entry); times > 1)
      text +=
          fmt::format("; turned {}, that is {} in all", times == 2 ? "twice" : fmt::format("{} times", times),
                      units::format(Measured(degrees, units::degree_unit())));
    add(Rule::order, about("doubled", pass_, step_, &entry, std::move(text), remedy_for("doubled", step_)));
  }

  void torque_first(const Entry& entry, const Arrival& arrival) {
    add(Rule::order, about("angle-without-torque", pass_, step_, &entry,
                           fmt::format("{}: turned before {} was read", place_of(pass_, step_),
                                       place_of(pass_, *progress_.find(arrival.without))),
                           remedy_for("angle-without-torque", step_)));
  }

  void judge(const Entry& entry, const Arrival& arrival) {
    std::vector<Finding> found;
    if (progress_.standing(entry.step) == &entry || entry.past_piece) {
      judge_entry(progress_, step_, entry, found);
      // Turned twice, the bolt is further round than the last reading says: to turn on would be wrong.
      if (step_.kind == StageKind::angle && !entry.past_piece && progress_.read_again(step_.step))
        std::erase_if(found, [](const Finding& f) { return f.slug == "low"; });
      judge_tool(pass_, step_, entry, found);
      waited(entry, arrival, found);
    } else {
      judge_replaced(progress_, step_, entry, found);
    }
    for (Finding& f : found) add(Rule::entry, std::move(f));
  }

  void waited(const Entry& entry, const Arrival& arrival, std::vector<Finding>& found) const {
    if (!arrival.since_reading || !step_.wait_s) return;
    const double seconds = static_cast<double>(*arrival.since_reading) / 1000;
    if (seconds >= *step_.wait_s * (1 - 1e-9)) return;
    found.push_back(about(
        "wait-short", pass_, step_, &entry,
        fmt::format("{}: ticked {} s after the last reading, {} s are asked for", place_of(pass_, step_),
                    units::format_number(seconds), units::format_number(*step_.wait_s)),
        remedy_for("wait-short", step_)));
  }

  void correction(const Entry& entry) {
    Finding f =
        about("corrected", pass_, step_, &entry,
              fmt::format("{}: line {} corrects line {}", place_of(pass_, step_), entry.seq, *entry.corrects),
              "nothing to do; both lines stay in the book");
    f.severity = Severity::note;
    add(Rule::correction, std::move(f));
  }

  const Pass& pass_;
  const std::vector<Arrival>& arrivals_;
  Progress progress_;
  const Step& step_;
  Findings& out_;
  std::size_t nth_ = 0;
};

}  // namespace

void judge_step(const Pass& pass, const std::vector<Arrival>& arrivals, std::size_t position, Until until,
                Findings& out) {
  const Step& step = pass.plan.steps[position];
  StepJudge judge(pass, arrivals, step, out);
  if (const auto at = pass.entries_at.find(step.step); at != pass.entries_at.end())
    for (const std::size_t entry : at->second) judge.entry(entry);
  if (pass.standing.at(position) == Standing::kNone) judge.open(until);
}

void judge_lost_correction(const Pass& pass, std::size_t entry, Findings& out) {
  const Entry& e = pass.entries[entry];
  out.add(Rule::correction, entry,
          plain(pass, "corrected", Severity::note, e.seq,
                fmt::format("an entry: line {} corrects line {}", e.seq, *e.corrects),
                "nothing to do; both lines stay in the book"));
}

void judge_doubt(const Pass& pass, std::size_t doubt,
                 const std::vector<plan::FastenerPrediction>& predictions, Findings& out) {
  const Doubt& d = pass.doubts[doubt];
  if (d.resolved) return;
  Finding f = plain(pass, "unsure", Severity::fault, d.seq,
                    fmt::format("bolt {}: in doubt since line {}", d.bolt, d.seq),
                    doubt_advice(pass, d, predictions));
  f.bolt = d.bolt;
  if (const Step* step = step_numbered(pass, d.step)) {
    f.step = step->step;
    f.stage = step->stage;
    f.text = fmt::format("{}: in doubt since line {}", place_of(pass, *step), d.seq);
  }
  out.add(Rule::doubt, doubt, std::move(f));
}

void judge_piece(const Pass& pass, std::size_t bolt, const Piece& piece, Findings& out) {
  if (!piece.overused()) return;
  const auto limit = piece.limit();
  std::string text = fmt::format("bolt {} ({}): ", piece.bolt, piece.fastener);
  text += limit ? fmt::format("tightened {} times, {} allowed", piece.tightened, *limit)
                : fmt::format("its free length has grown by {:.3f} mm, less than {} is allowed",
                              *piece.free_last - *piece.free_first, units::format(*piece.reuse.growth));
  Finding f = plain(pass, "reused-fastener", Severity::fault, piece.fitted_seq, std::move(text),
                    "fit a new bolt, record it as fitted, and bring it through all stages");
  f.bolt = piece.bolt;
  out.add(Rule::piece, bolt, std::move(f));
}

void tell_voiding(const Pass& pass, std::size_t voiding, Findings& out) {
  const Voiding& v = pass.voidings[voiding];
  out.add(Rule::correction, voiding,
          plain(pass, "corrected", Severity::note, v.seq,
                fmt::format("line {} was voided{}", v.voids, v.because.empty() ? "" : ": " + v.because),
                "nothing to do; both lines stay in the book"));
}

void tell_acceptance(const Pass& pass, std::size_t acceptance, Findings& out) {
  const Acceptance& a = pass.acceptances[acceptance];
  out.add(Rule::acceptance, acceptance,
          plain(pass, "accepted", Severity::note, a.seq,
                fmt::format("what was found on line {} was accepted: {}", a.accepts, a.because),
                "nothing to do; the finding stays in the record"));
}

void judge_damage(const record::Book& book, const Pass& pass, Findings& out) {
  for (std::size_t i = 0; i < book.damages.size(); ++i) {
    const record::Damage& d = book.damages[i];
    out.add(Part::damage, i,
            d.torn ? plain(pass, "torn-line", Severity::note, d.seq, "the book: " + d.what,
                           "nothing to do: it was never acknowledged")
                   : plain(pass, "altered-record", Severity::fault, d.seq, "the book: " + d.what,
                           "compare with a copy of the book or with the printed report; enter again what is "
                           "missing, with a note"));
  }
}

void judge_clock(const record::Book& book, const Pass& pass, std::size_t event, Findings& out) {
  const record::Event &before = book.events[event - 1], &now = book.events[event];
  if (before.written.milliseconds - now.written.milliseconds <= kClockBack) return;
  out.add(Part::clock, event,
          plain(pass, "clock-back", Severity::warning, now.seq,
                fmt::format("line {} was written at {}, before the line above it", now.seq,
                            record::to_string(now.written)),
                "set the clock; the order of the lines is what counts"));
}

void judge_trial(const Pass& pass, Findings& out) {
  if (!pass.trial) return;
  out.add(Part::trial, 0,
          plain(pass, "trial-pass", Severity::note, pass.seq,
                "this is a trial pass: its bolts count as tightened, the joint does not count as built",
                "begin the final pass when the parts are ready"));
}

}  // namespace clampbook::review
