#include <clampbook/plan/bolt_model.h>
#include <clampbook/review/estimate.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace clampbook::review {

using plan::StageKind;
using units::Dimension;
using units::to;

namespace {

constexpr double kLeastSigma = 0.12;  // one value alone is never known better than that
constexpr double kTail = 1.645;       // of a 5 % point

joint::Torque clamping_torque(const Measured& read, const Step& step) {
  joint::Torque out = to<joint::Torque>(read);
  if (step.prevailing) out -= to<joint::Torque>(*step.prevailing);
  return std::max<joint::Torque>(out, units::of(0, units::newton_metre));
}

std::optional<joint::Torque> torque_of(const std::optional<Measured>& read, const Step& step) {
  if (!read || read->dimension() != Dimension::torque) return std::nullopt;
  return clamping_torque(*read, step);
}

std::optional<joint::Angle> angle_of(const std::optional<Measured>& read) {
  if (!read || read->dimension() != Dimension::angle) return std::nullopt;
  return to<joint::Angle>(*read);
}

// Follows a bolt through its stages and keeps what an estimate can use.
class Collector {
 public:
  std::optional<joint::BoltEvidence> take(std::string& why_not) {
    if (!any_) {
      why_not = kNothingRead;
    } else if (!torque_) {
      why_not = "no torque was read before the angle: nobody knows where the turn began";
    } else if (gap_) {
      why_not = "a reading between the torque and the end is missing";
    } else if (yielded_) {
      why_not =
          "it may have passed its yield point before it was loosened: its strength is no longer that of its "
          "class";
    } else if (turned_) {
      return evidence_;
    } else if (pulled_) {
      return pull_evidence();
    } else {
      why_not = kOnlyTorques;
    }
    return std::nullopt;
  }

  void follow(const Step& step, const Entry* entry) {
    if (entry != nullptr && (entry->value || entry->kind == "reading"))
      any_ = any_ || entry->value.has_value();
    if (loosened_ && entry != nullptr && step.kind != StageKind::loosen) begin_anew();
    switch (step.kind) {
      case StageKind::snug:
      case StageKind::torque:
        if (!turned_) torque(step, entry);
        break;
      case StageKind::angle:
        turn(step, entry);
        break;
      case StageKind::stretch:
        stretch(step, entry);
        break;
      case StageKind::loosen:
        loosen(step, entry);
        break;
      default:
        break;
    }
  }

 private:
  // A torque and the angle turned on the way to it: a small angle stage by itself.
  std::optional<joint::BoltEvidence> pull_evidence() const {
    joint::BoltEvidence out{*before_};
    out.angles = {*pulled_};
    out.final = torque_;
    return out;
  }

  void torque(const Step& step, const Entry* entry) {
    auto read = entry != nullptr ? torque_of(entry->value, step) : std::nullopt;
    if (read && entry->click)
      read = to<joint::Torque>(*entry->value);          // the target, without the lock nut's share
    if (!read || units::si_number(*read) <= 0) return;  // by hand, or open
    before_ = torque_;
    torque_ = read;
    pulled_ = before_ && *before_ < *read ? angle_of(entry->also) : std::nullopt;
  }

  void begin_turn() {
    if (turned_) return;
    turned_ = true;
    if (!torque_) return;
    evidence_.start = *torque_;
    if (pulled_) {
      evidence_.before = pulled_;
      evidence_.snug = before_;
    }
  }

  void turn(const Step& step, const Entry* entry) {
    const auto angle = entry != nullptr ? angle_of(entry->value) : std::nullopt;
    if (!angle) {
      open_ = true;  // not read yet; a later reading would leave a gap
      return;
    }
    begin_turn();
    gap_ = gap_ || open_;
    evidence_.angles.push_back(*angle);
    evidence_.final = torque_of(entry->also, step);
  }

  void stretch(const Step& step, const Entry* entry) {
    if (entry == nullptr || !entry->value || entry->value->dimension() != Dimension::length) return;
    begin_turn();
    evidence_.stretch = to<joint::Length>(*entry->value);
    evidence_.final = torque_of(entry->also, step);
  }

  // What was read up to here tells of the pull that ends here.
  void loosen(const Step& step, const Entry* entry) {
    if (entry == nullptr) {
      open_ = true;
      return;
    }
    if (turned_ && !evidence_.loosening) evidence_.loosening = torque_of(entry->value, step);
    loosened_ = true;
    may_have_yielded_ = may_have_yielded_ || (turned_ && step.may_yield);
  }

  void begin_anew() {
    Collector fresh;
    fresh.any_ = any_;
    fresh.yielded_ = fresh.may_have_yielded_ = may_have_yielded_;
    *this = std::move(fresh);
  }

  joint::BoltEvidence evidence_{};
  std::optional<joint::Torque> torque_{}, before_{};
  std::optional<joint::Angle> pulled_{};
  bool any_ = false, turned_ = false, open_ = false, gap_ = false;
  bool loosened_ = false;          // nothing was tightened since
  bool may_have_yielded_ = false;  // before a loosening
  bool yielded_ = false;           // and it was tightened since
};

std::string lubricant_name(const schedule::Schedule& schedule, const schedule::Fastener& fastener) {
  const schedule::Lubrication* l = schedule.lubrication(fastener);
  const auto& used = l != nullptr && l->used ? l->used : l != nullptr ? l->stated : std::nullopt;
  return used && !used->name.empty() ? used->name : "the schedule's friction";
}

// What the physics needs of a fastener, or why it can't be had.
std::optional<joint::BoltPrior> prior_of(const schedule::Schedule& schedule,
                                         const schedule::Fastener& fastener, std::string& why_not) {
  std::optional<plan::BoltModel> made;
  try {
    made = plan::bolt_model(schedule, fastener);
  } catch (const InputError& e) {
    why_not = e.diagnostics().front().message;
    return std::nullopt;
  }
  const plan::BoltModel& model = *made;
  if (!fastener.treated.empty()) {
    why_not = "the bolt was treated: its strength is not that of its class";
  } else if (model.used && model.used->nut_factor) {
    why_not = "a nut factor alone tells friction neither in the thread nor under the head";
  } else if (!model.geometry || !model.used || !model.mean_seat_diameter()) {
    std::vector<std::string_view> missing(model.missing.begin(), model.missing.end());
    why_not =
        fmt::format("the schedule does not say enough of this joint: {}", text::list_words(missing, "and"));
  } else {
    const double sigma = std::max({model.used->thread->sigma(), model.used->seat->sigma(), kLeastSigma});
    return joint::BoltPrior{model.thread.thread,
                            *model.mean_seat_diameter(),
                            model.used->thread->median(),
                            model.used->seat->median(),
                            sigma,
                            joint::TighteningGeometry::from(*model.geometry, *model.parts),
                            *model.strength};
  }
  return std::nullopt;
}

class Estimator {
 public:
  Estimator(const Pass& pass, const Pieces& pieces, const schedule::Schedule& schedule)
      : pass_(pass), pieces_(pieces), schedule_(schedule), progress_(pass) {
    out_.bolts.resize(pass.plan.bolts.size());
  }

  PassEstimates run() {
    std::map<std::pair<std::string, std::string>, std::vector<std::size_t>> groups;
    for (std::size_t i = 0; i < pass_.plan.bolts.size(); ++i)
      groups[{pass_.plan.bolts[i].fastener, pass_.plan.bolts[i].group}].push_back(i);
    for (const auto& [key, bolts] : groups) group(key.first, bolts);
    return std::move(out_);
  }

 private:
  void group(const std::string& fastener_name, const std::vector<std::size_t>& bolts) {
    const auto fastener = std::find_if(schedule_.fasteners.begin(), schedule_.fasteners.end(),
                                       [&](const schedule::Fastener& f) { return f.name == fastener_name; });
    std::vector<joint::BoltEvidence> evidence;
    std::vector<std::size_t> told;  // those with evidence
    for (const std::size_t bolt : bolts) {
      std::string& why_not = out_.bolts[bolt].why_not;
      auto own = evidence_of(pass_, progress_, pass_.plan.bolts[bolt].id, why_not);
      if (own && was_past_yield(bolt)) {
        why_not = "the bolt was past its yield point before: its strength is no longer that of its class";
      } else if (own) {
        evidence.push_back(*std::move(own));
        told.push_back(bolt);
      }
    }
    if (evidence.empty() || fastener == schedule_.fasteners.end()) return;
    std::string why_not;
    const auto prior = prior_of(schedule_, *fastener, why_not);
    if (!prior) {
      for (const std::size_t bolt : told) out_.bolts[bolt].why_not = why_not;
      return;
    }
    const joint::GroupPosterior posterior = joint::estimate_group(*prior, evidence);
    GroupEstimate group{told, lubricant_name(schedule_, *fastener),
                        (prior->thread_friction + prior->seat_friction) / 2};
    group.low = group.friction * std::exp(-kTail * prior->friction_sigma);
    group.high = group.friction * std::exp(kTail * prior->friction_sigma);
    group.ratio = posterior.friction_ratio;
    for (std::size_t k = 0; k < told.size(); ++k) fill(told[k], posterior.bolts[k], group);
    out_.groups.push_back(std::move(group));
  }

  void fill(std::size_t bolt, const std::optional<joint::BoltPosterior>& posterior, GroupEstimate& group) {
    BoltEstimate& out = out_.bolts[bolt];
    if (!posterior) {
      out.why_not =
          "the readings contradict what the schedule says of this bolt: friction, stiffness and strength "
          "that would explain them are not to be believed";
      group.contradict.push_back(bolt);
      return;
    }
    out.preload = posterior->preload;
    out.friction = posterior->friction;
    out.yielded = posterior->yielded;
    out.loosened = was_loosened_last(bolt);
    if (!out.friction) out.why_not = "no torque was read at the end of the angle";
  }

  [[nodiscard]] bool was_loosened_last(std::size_t bolt) const {
    const auto& positions = pass_.index.turning(pass_.plan.bolts[bolt].id);
    const auto last = std::find_if(positions.rbegin(), positions.rend(), [&](std::size_t position) {
      return progress_.standing(pass_.plan.steps[position].step) != nullptr;
    });
    return last != positions.rend() && pass_.plan.steps[*last].kind == StageKind::loosen;
  }

  // Before this pass, or before it was taken out in this one.
  [[nodiscard]] bool was_past_yield(std::size_t bolt) const {
    const Piece* piece = pieces_.at(pass_.title, pass_.plan.bolts[bolt].id);
    return piece != nullptr && piece->past_yield > 1;
  }

  const Pass& pass_;
  const Pieces& pieces_;
  const schedule::Schedule& schedule_;
  Progress progress_;
  PassEstimates out_;
};

}  // namespace

std::optional<joint::BoltEvidence> evidence_of(const Pass& pass, const Progress& progress,
                                               const std::string& bolt, std::string& why_not) {
  Collector collector;
  for (const std::size_t position : pass.index.turning(bolt)) {
    const Step& step = pass.plan.steps[position];
    if (step.kind == StageKind::angle && progress.read_again(step.step)) {
      why_not = "an angle was read twice: how far the bolt was turned is not known";
      return std::nullopt;
    }
    collector.follow(step, progress.standing(step.step));
  }
  return collector.take(why_not);
}

std::optional<schedule::Schedule> schedule_of(const Pass& pass) {
  if (pass.schedule_text.empty()) return std::nullopt;
  try {
    return schedule::read_schedule(std::make_shared<const text::Source>("schedule", pass.schedule_text));
  } catch (const InputError&) {
    return std::nullopt;
  }
}

PassEstimates estimate_pass(const Pass& pass, const Pieces& pieces) {
  // The evidence first: a pass of torques alone needs no physics.
  const Progress progress(pass);
  PassEstimates out;
  out.bolts.resize(pass.plan.bolts.size());
  bool any = false;
  for (std::size_t i = 0; i < out.bolts.size(); ++i)
    any = evidence_of(pass, progress, pass.plan.bolts[i].id, out.bolts[i].why_not).has_value() || any;
  if (!any) return out;
  const auto schedule = schedule_of(pass);
  if (!schedule) {
    for (BoltEstimate& bolt : out.bolts)
      if (bolt.why_not.empty()) bolt.why_not = "the schedule's text in the book can't be read";
    return out;
  }
  return Estimator(pass, pieces, *schedule).run();
}

}  // namespace clampbook::review
