#include <clampbook/review/arrivals.h>

#include <algorithm>
#include <limits>

namespace clampbook::review {

using plan::StageKind;

namespace {

std::size_t position_of(const Pass& pass, const Entry& entry) {
  return static_cast<std::size_t>(&entry - pass.entries.data());
}

// Whether the step has an entry that counts between the two.
bool another_between(const Pass& pass, const Entry& first, const Entry& last) {
  const auto at = pass.entries_at.find(last.step);
  return at != pass.entries_at.end() && std::any_of(at->second.begin(), at->second.end(), [&](std::size_t i) {
           const Entry& e = pass.entries[i];
           return e.seq > first.seq && e.seq < last.seq && !e.voided_by && !e.past_piece;
         });
}

// A reading that corrects another comes where that one came: the bolt was turned in its time, or is pulled
// on. A gate is done again. Nothing when it comes in its own place.
const Entry* first_of(const Pass& pass, const Entry& entry) {
  const Step* step = step_numbered(pass, entry.step);
  if (entry.voided_by || !entry.corrects || step == nullptr || step->is_gate()) return nullptr;
  const Entry* first = &entry;
  while (first->corrects) {
    const Entry* before = entry_on(pass, *first->corrects);
    if (before == nullptr || before->seq >= first->seq || before->step != entry.step ||
        before->past_piece != entry.past_piece)
      break;
    first = before;
  }
  return first != &entry && !another_between(pass, *first, entry) ? first : nullptr;
}

int unread_torque(const Pass& pass, const Step& step, const Standing& standing) {
  for (const std::size_t position : pass.index.turning(*step.bolt)) {
    const Step& earlier = pass.plan.steps[position];
    if (earlier.step >= step.step) break;
    if ((earlier.kind == StageKind::snug || earlier.kind == StageKind::torque) &&
        standing.at(position) == Standing::kNone)
      return earlier.step;
  }
  return 0;
}

}  // namespace

std::optional<double> degrees_of(const Step& step, const Entry& entry) {
  if (step.kind != StageKind::angle || !entry.value || entry.value->dimension() != units::Dimension::angle)
    return std::nullopt;
  return entry.value->in(units::degree_unit());
}

Turned turns_with(const Arrival& arrival, const Step& step, const Entry& entry) {
  const auto degrees = degrees_of(step, entry);
  if (!degrees) return arrival.turned;
  const Turned before = arrival.before ? arrival.turned : Turned{};
  return {before.times + 1, before.degrees + *degrees};
}

// A bolt that was taken out or replaced begins again.
void Arrivals::fit_before(const Pass& pass, std::int64_t seq) {
  for (; next_fitting_ < pass.fittings.size() && pass.fittings[next_fitting_].seq < seq; ++next_fitting_) {
    const std::string& bolt = pass.fittings[next_fitting_].bolt;
    for (const auto* positions : {&pass.index.turning(bolt), &pass.index.gates(bolt)})
      for (const std::size_t position : *positions) standing_.open(position);
    refitted_.insert(bolt);
  }
}

// A new or refitted bolt comes late in any case: only its own steps tell whether it was brought through in
// order.
int Arrivals::highest_before(const Pass& pass, const Step& step) const {
  const Progress progress(pass, standing_);
  const std::string* bolt = step.bolt ? &*step.bolt : step.label ? &*step.label : nullptr;
  if (bolt == nullptr || !refitted_.contains(*bolt)) return progress.highest_filled();
  return step.bolt ? progress.highest_filled(bolt) : 0;
}

void Arrivals::follow(const Pass& pass, std::size_t came, std::size_t entry) {
  const Entry &at = pass.entries[came], &stands = pass.entries[entry];
  const Step& step = *step_numbered(pass, at.step);
  const std::size_t position = review::position_of(pass, step);
  Arrival arrival{Arrival::Place::own, entry};
  if (const std::size_t before = standing_.at(position); before != Standing::kNone)
    arrival.before = before;
  else
    arrival.highest = highest_before(pass, step);
  if (step.kind == StageKind::angle) {
    Turned& turned = turned_[step.step];
    arrival.turned = turned;
    arrival.without = unread_torque(pass, step, standing_);
    turned = turns_with(arrival, step, stands);
  }
  if (step.kind == StageKind::wait && last_reading_)
    arrival.since_reading = stands.at.milliseconds - last_reading_->milliseconds;
  if (!step.is_gate()) last_reading_ = at.at;
  standing_.fill(position, entry);
  all_[came] = arrival;
}

// Nobody can tell whether it was mistyped then, or is pulled on now, after what was built upon it.
void Arrivals::correct(const Pass& pass, std::size_t came) {
  const Entry& entry = pass.entries[came];
  const Step& step = *step_numbered(pass, entry.step);
  last_reading_ = entry.at;
  Arrival arrival{Arrival::Place::corrected, came};
  arrival.highest = Progress(pass, standing_).highest_filled(&*step.bolt);
  all_[came] = arrival;
}

void Arrivals::follow_all(const Pass& pass) {
  *this = Arrivals();
  all_.resize(pass.entries.size());
  standing_ = Standing(pass.plan.steps.size());
  std::unordered_map<std::size_t, std::size_t> corrected_by;  // a first entry, and the one that stands for it
  std::set<std::size_t> in_place;
  for (const Entry& entry : pass.entries)
    if (const Entry* first = first_of(pass, entry)) {
      corrected_by[position_of(pass, *first)] = position_of(pass, entry);
      in_place.insert(position_of(pass, entry));
    }
  for (std::size_t i = 0; i < pass.entries.size(); ++i) {
    const Entry& entry = pass.entries[i];
    fit_before(pass, entry.seq);
    if (step_numbered(pass, entry.step) == nullptr) continue;
    if (const auto later = corrected_by.find(i); later != corrected_by.end())
      follow(pass, i, later->second);
    else if (in_place.contains(i))
      correct(pass, i);
    else if (!entry.voided_by)
      follow(pass, i, i);
  }
  fit_before(pass, std::numeric_limits<std::int64_t>::max());
}

bool Arrivals::take_entry(const Pass& pass) {
  const std::size_t came = pass.entries.size() - 1;
  const Entry& entry = pass.entries[came];
  all_.resize(pass.entries.size());
  fit_before(pass, entry.seq);
  const Entry* corrected = entry.corrects ? entry_on(pass, *entry.corrects) : nullptr;
  if (corrected == &entry) return false;
  if (corrected != nullptr && all_[position_of(pass, *corrected)].place != Arrival::Place::none) {
    const Entry* first = first_of(pass, entry);
    return first != nullptr &&
           correct_in_place(pass, position_of(pass, *first), position_of(pass, *corrected));
  }
  if (step_numbered(pass, entry.step) == nullptr) return true;
  if (first_of(pass, entry) != nullptr) return false;
  follow(pass, came, came);
  return true;
}

// The last entry takes the place of the one that it corrects, or that one's: all that came between came upon
// a filled step then, and does now.
bool Arrivals::correct_in_place(const Pass& pass, std::size_t first, std::size_t corrected) {
  const std::size_t came = pass.entries.size() - 1;
  Arrival& place = all_[first];
  const bool goes_on = first != corrected;
  if (place.place != Arrival::Place::own || place.entry != corrected) return false;
  // What the correction before told, of the time of the last reading, holds for nobody but this one.
  if (goes_on && corrected + 1 != came) return false;
  const Step& step = *step_numbered(pass, pass.entries[came].step);
  const std::size_t position = review::position_of(pass, step);
  if (standing_.at(position) != corrected) return false;
  if (goes_on) all_[corrected] = {};
  place.entry = came;
  standing_.set(position, came, standing_.again(position));
  if (step.kind == StageKind::angle) turned_[step.step] = turns_with(place, step, pass.entries[came]);
  correct(pass, came);
  return true;
}

bool Arrivals::take_fittings(const Pass& pass, const std::vector<std::string>& bolts) {
  fit_before(pass, std::numeric_limits<std::int64_t>::max());
  const auto corrects = [&](std::size_t position) {
    const auto at = pass.entries_at.find(pass.plan.steps[position].step);
    return at != pass.entries_at.end() &&
           std::any_of(at->second.begin(), at->second.end(),
                       [&](std::size_t i) { return pass.entries[i].corrects.has_value(); });
  };
  return std::none_of(bolts.begin(), bolts.end(), [&](const std::string& bolt) {
    const auto& positions = pass.index.turning(bolt);
    return std::any_of(positions.begin(), positions.end(), corrects);
  });
}

bool Arrivals::take_void(const Pass& pass, std::int64_t line) const {
  const Entry* entry = entry_on(pass, line);
  return entry == nullptr || all_[position_of(pass, *entry)].place == Arrival::Place::none;
}

}  // namespace clampbook::review
