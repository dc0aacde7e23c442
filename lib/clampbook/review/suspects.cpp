#include <clampbook/joint/odd_one_out.h>
#include <clampbook/review/estimate.h>
#include <clampbook/review/judge.h>
#include <clampbook/review/suspects.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::review {

using joint::Feature;
using joint::OddBolt;

namespace {

// The bolt's last entry that stands: what a finding about the bolt is pinned to.
const Entry* last_standing(const Pass& pass, const Progress& progress, const std::string& bolt) {
  const auto& positions = pass.index.turning(bolt);
  for (auto at = positions.rbegin(); at != positions.rend(); ++at)
    if (const Entry* entry = progress.standing(pass.plan.steps[*at].step)) return entry;
  return nullptr;
}

Finding about_bolt(std::string slug, const Pass& pass, const Entry& entry, const std::string& bolt) {
  Finding f;
  f.slug = std::move(slug);
  f.severity = Severity::warning;
  f.pass = pass.number;
  f.seq = entry.seq;
  f.step = entry.step;
  f.bolt = bolt;
  return f;
}

// What bolts must have in common to be held against each other.
std::string likeness(const Pass& pass, const Progress& progress, const plan::PlanBolt& bolt) {
  std::string out = bolt.fastener + "\n" + bolt.group;
  for (const std::size_t position : pass.index.turning(bolt.id)) {
    const Step& step = pass.plan.steps[position];
    const Entry* entry = progress.standing(step.step);
    out += fmt::format("\n{} {}", step.stage, entry != nullptr ? entry->tool : "");
  }
  return out;
}

struct Alike {
  std::vector<std::size_t> bolts;
  std::vector<joint::BoltEvidence> evidence;
};

double value_of(const joint::BoltEvidence& e, Feature feature) {
  switch (feature) {
    case Feature::final_torque:
      return units::value_in(*e.final, units::newton_metre);
    case Feature::gradient: {
      double turned = 0;
      for (const joint::Angle& angle : e.angles) turned += units::value_in(angle, units::degree);
      return units::value_in(*e.final - e.start, units::newton_metre) / turned;
    }
    case Feature::seating:
      return units::value_in(*e.before, units::degree);
    case Feature::force:
      break;
  }
  return units::value_in(*e.final, units::newton_metre) * units::value_in(*e.before, units::degree) /
         units::value_in(e.start - *e.snug, units::newton_metre);
}

struct Words {
  std::string_view what, unit;
};

Words words_of(Feature feature) {
  switch (feature) {
    case Feature::final_torque:
      return {"the torque at the end", "N·m"};
    case Feature::gradient:
      return {"the torque gained for each degree", "N·m/°"};
    case Feature::seating:
      return {"the angle on the way to the torque", "°"};
    case Feature::force:
      break;
  }
  return {"the force at the end, friction taken out and up to a factor that all share,", "°"};
}

// Only as much as the readings tell.
std::string_view cause_of(const OddBolt& odd) {
  if (odd.feature == Feature::force)
    return odd.score < 0 ? "It may have yielded early, or be of another strength than the others"
                         : "It may have been turned further than the others";
  return odd.score > 0
             ? "Friction, a bolt that bottoms or one that was turned twice could all do that; these "
               "readings do not tell which"
             : "Friction, a thread that gives way or a bolt that yields early could all do that; these "
               "readings do not tell which";
}

std::string odd_text(const Pass& pass, const Alike& alike, const OddBolt& odd) {
  double least = 0, most = 0;
  bool first = true;
  for (std::size_t i = 0; i < alike.evidence.size(); ++i) {
    if (i == odd.bolt) continue;
    const double value = value_of(alike.evidence[i], odd.feature);
    least = first ? value : std::min(least, value);
    most = first ? value : std::max(most, value);
    first = false;
  }
  const Words words = words_of(odd.feature);
  return fmt::format(
      "bolt {} is unlike the other {}: {} is {}, {} {} where they lie from {} to {} ({:.1f} scales "
      "off; {:.1f} is the alarm level). {}",
      pass.plan.bolts[alike.bolts[odd.bolt]].id, alike.bolts.size() - 1, words.what,
      odd.score > 0 ? "high" : "low", units::format_number(value_of(alike.evidence[odd.bolt], odd.feature)),
      words.unit, units::format_number(least), units::format_number(most), std::fabs(odd.score), odd.alarm,
      cause_of(odd));
}

std::string range(double low, double high) {
  return fmt::format("{:.2f} to {:.2f}", low, high);
}

}  // namespace

std::optional<LikeBolt> like_bolt(const Pass& pass, std::size_t bolt) {
  const plan::PlanBolt& planned = pass.plan.bolts[bolt];
  const Progress progress(pass);
  std::string why_not;
  auto evidence = evidence_of(pass, progress, planned.id, why_not);
  if (!evidence || !evidence->final || evidence->angles.empty()) return std::nullopt;
  return LikeBolt{likeness(pass, progress, planned), *std::move(evidence)};
}

void judge_alike(const Pass& pass, const std::vector<std::pair<std::size_t, const LikeBolt*>>& alike,
                 Findings& out) {
  if (alike.size() < joint::kFewestAlike || alike.size() > joint::kMostAlike) return;
  Alike group;
  for (const auto& [bolt, told] : alike) {
    group.bolts.push_back(bolt);
    group.evidence.push_back(told->evidence);
  }
  const Progress progress(pass);
  for (const OddBolt& odd : joint::odd_bolts(group.evidence)) {
    const std::size_t bolt = group.bolts[odd.bolt];
    const std::string& id = pass.plan.bolts[bolt].id;
    const Entry* entry = last_standing(pass, progress, id);
    if (entry == nullptr) continue;
    Finding f = about_bolt("odd-one-out", pass, *entry, id);
    f.stage = progress.find(entry->step)->stage;
    f.text = odd_text(pass, group, odd);
    f.remedy =
        "stop, and look at this bolt before the next one: its marks, its lubricant, its thread and its "
        "length. "
        "What can't be explained is replaced";
    out.add(FindingKey::Rule::odd, bolt, std::move(f));
  }
}

void judge_friction(const Pass& pass, const Pieces& pieces, const PassEstimates* estimates, Findings& out) {
  const Progress progress(pass);
  std::size_t nth = 0;
  const PassEstimates own = estimates == nullptr ? estimate_pass(pass, pieces) : PassEstimates{};
  for (const GroupEstimate& group : (estimates != nullptr ? *estimates : own).groups) {
    for (const std::size_t bolt : group.contradict) {
      const std::string& id = pass.plan.bolts[bolt].id;
      const Entry* entry = last_standing(pass, progress, id);
      if (entry == nullptr) continue;
      Finding f = about_bolt("friction-suspect", pass, *entry, id);
      f.stage = progress.find(entry->step)->stage;
      f.text = fmt::format(
          "bolt {}: torque, angle and torque at the end do not fit together for any friction, "
          "stiffness or strength that the schedule allows",
          id);
      f.remedy =
          "read it again if it is not past yield; else look for a wrong bolt, a bolt that bottoms, a "
          "damaged thread, or a reading of another bolt";
      out.add(FindingKey::Rule::friction, nth++, std::move(f));
    }
    if (!group.ratio) continue;
    const double low = group.friction * group.ratio->p5, high = group.friction * group.ratio->p95;
    if (low <= group.high && high >= group.low) continue;
    const Entry* last = nullptr;
    for (const std::size_t bolt : group.bolts) {
      const Entry* entry = last_standing(pass, progress, pass.plan.bolts[bolt].id);
      if (entry != nullptr && (last == nullptr || entry->seq > last->seq)) last = entry;
    }
    if (last == nullptr) continue;
    Finding f = about_bolt("friction-suspect", pass, *last, {});
    f.bolt.reset();
    f.step.reset();
    const plan::PlanBolt& first = pass.plan.bolts[group.bolts.front()];
    f.text = fmt::format("the friction of all {} bolts of {} is about {:.2f} ({}), where {} gives {}",
                         group.bolts.size(), first.fastener, group.friction * group.ratio->median,
                         range(low, high), group.lubricant, range(group.low, group.high));
    f.remedy =
        "a whole group that is off speaks of the lubricant, of dirty threads or of the wrench: find out "
        "which, "
        "and look at what the torque stages gave with that friction (predict)";
    out.add(FindingKey::Rule::friction, nth++, std::move(f));
  }
}

}  // namespace clampbook::review
