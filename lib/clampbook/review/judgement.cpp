#include <clampbook/joint/odd_one_out.h>
#include <clampbook/review/doubt.h>
#include <clampbook/review/judgement.h>
#include <clampbook/review/operation.h>

#include <algorithm>
#include <iterator>
#include <variant>

namespace clampbook::review {

using Part = FindingKey::Part;
using Rule = FindingKey::Rule;

namespace {

const Doubt* doubt_on(const Pass& pass, std::int64_t line) {
  const auto found = std::lower_bound(pass.doubts.begin(), pass.doubts.end(), line,
                                      [](const Doubt& doubt, std::int64_t n) { return doubt.seq < n; });
  return found != pass.doubts.end() && found->seq == line ? &*found : nullptr;
}

bool same_damages(const std::vector<record::Damage>& a, const std::vector<record::Damage>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const record::Damage& x, const record::Damage& y) {
                      return x.seq == y.seq && x.torn == y.torn && x.what == y.what;
                    });
}

bool begins_a_pass(const record::Event& event) {
  return std::holds_alternative<record::Box<record::Begun>>(event.line) ||
         std::holds_alternative<record::Box<record::Planned>>(event.line);
}

}  // namespace

// The cells that a line touches; the only thing that is said of a line and not of a cell.
class Judgement::Touched {
 public:
  Touched(Judgement& judged, const Pass& pass) : judged_(judged), pass_(pass) {}

  void operator()(const record::Reading& line) { entry(line.at, line.corrects); }
  void operator()(const record::Tick& line) { entry(line.at, line.corrects); }
  void operator()(const record::Count& line) { entry(line.at, line.corrects); }
  void operator()(const record::Measure& line) { entry(line.at, line.corrects); }
  void operator()(const record::Void& line) {
    if (!judged_.arrivals_.take_void(pass_, line.voids)) follow_all();
    voided(line.voids);
    touch(Cell::Kind::voiding, pass_.voidings.size() - 1);
  }
  void operator()(const record::Fitted& line) { fittings(line.bolts); }
  void operator()(const record::Removed& line) { fittings(line.bolts); }
  void operator()(const record::Unsure&) {
    const std::size_t doubt = pass_.doubts.size() - 1;
    judged_.doubts_of_[pass_.doubts[doubt].bolt].push_back(doubt);
    touch(Cell::Kind::doubt, doubt);
  }
  void operator()(const record::Accepted&) { touch(Cell::Kind::acceptance, pass_.acceptances.size() - 1); }
  void operator()(const record::Abandoned&) {}
  void operator()(const record::Note&) {}
  void operator()(const record::Box<record::Begun>&) {}
  void operator()(const record::Box<record::Planned>&) {}
  void operator()(const record::Unknown&) {}

  // A step is passed over, or no longer, where the highest filled one moved.
  void highest() {
    const std::size_t behind = pass_.standing.behind_filled();
    for (std::size_t i = std::min(behind, judged_.behind_); i < std::max(behind, judged_.behind_); ++i)
      if (pass_.standing.at(i) == Standing::kNone) touch(Cell::Kind::step, i);
    judged_.behind_ = behind;
  }

  [[nodiscard]] std::set<Cell>& cells() { return cells_; }

 private:
  void touch(Cell::Kind kind, std::size_t nth) { cells_.insert({kind, nth}); }

  void entry(const record::Place& at, std::optional<std::int64_t> corrects) {
    if (!judged_.arrivals_.take_entry(pass_)) follow_all();
    if (const Step* step = step_numbered(pass_, at.step))
      at_step(*step);
    else if (corrects)
      touch(Cell::Kind::lost_correction, pass_.entries.size() - 1);
    if (corrects) voided(*corrects);
  }

  void voided(std::int64_t line) {
    if (const Entry* entry = entry_on(pass_, line))
      if (const Step* step = step_numbered(pass_, entry->step)) at_step(*step);
    if (const Doubt* doubt = doubt_on(pass_, line)) doubts(doubt->bolt);
  }

  void at_step(const Step& step) {
    touch(Cell::Kind::step, position_of(pass_, step));
    if (step.bolt) bolt(*step.bolt);
    if (step.label) piece(*step.label);
  }

  void bolt(const std::string& id) {
    for (const std::size_t position : pass_.index.turning(id)) touch(Cell::Kind::step, position);
    doubts(id);
    piece(id);
    if (const auto position = pass_.index.bolt(id)) judged_.liken(*position, pass_, &cells_);
  }

  void doubts(const std::string& bolt) {
    const auto found = judged_.doubts_of_.find(bolt);
    if (found == judged_.doubts_of_.end()) return;
    for (const std::size_t doubt : found->second) touch(Cell::Kind::doubt, doubt);
  }

  void piece(const std::string& bolt) {
    if (const auto position = pass_.index.bolt(bolt)) touch(Cell::Kind::piece, *position);
  }

  void fittings(const std::vector<std::string>& bolts) {
    if (!judged_.arrivals_.take_fittings(pass_, bolts)) follow_all();
    for (const std::string& id : bolts) {
      bolt(id);
      for (const std::size_t position : pass_.index.gates(id)) touch(Cell::Kind::step, position);
    }
  }

  // The order in which the entries came is another one: whatever came otherwise is judged again.
  void follow_all() {
    const std::vector<Arrival> before = judged_.arrivals_.all();
    judged_.arrivals_.follow_all(pass_);
    const std::vector<Arrival>& now = judged_.arrivals_.all();
    for (std::size_t i = 0; i < now.size(); ++i)
      if (i >= before.size() || before[i] != now[i])
        if (const Step* step = step_numbered(pass_, pass_.entries[i].step))
          touch(Cell::Kind::step, position_of(pass_, *step));
  }

  Judgement& judged_;
  const Pass& pass_;
  std::set<Cell> cells_{};
};

namespace {

// The places whose piece a line of another pass turns, measures or takes out.
std::vector<std::string> places_of(const record::Event& event, const Pass& pass) {
  std::vector<std::string> out;
  const auto at = [&](int number) {
    const Step* step = step_numbered(pass, number);
    if (step != nullptr && step->bolt) out.push_back(*step->bolt);
    if (step != nullptr && step->label) out.push_back(*step->label);
  };
  const auto voided = [&](std::int64_t line) {
    if (const Entry* entry = entry_on(pass, line)) at(entry->step);
  };
  if (const record::Place* place = record::place_of(event.line)) at(place->step);
  if (const auto corrected = record::corrects(event.line)) voided(*corrected);
  if (const auto* line = std::get_if<record::Void>(&event.line)) voided(line->voids);
  if (const auto* line = std::get_if<record::Fitted>(&event.line)) out = line->bolts;
  if (const auto* line = std::get_if<record::Removed>(&event.line)) out = line->bolts;
  return out;
}

}  // namespace

Judgement::Judgement(const Seen& seen)
    : followed_(seen.book.events.size()),
      behind_(seen.pass.standing.behind_filled()),
      damages_(seen.book.damages) {
  const Pass& pass = seen.pass;
  arrivals_.follow_all(pass);
  for (std::size_t i = 0; i < pass.doubts.size(); ++i) doubts_of_[pass.doubts[i].bolt].push_back(i);
  for (const Acceptance& a : pass.acceptances) reasons_[a.accepts] = a.because;
  for (std::size_t i = 0; i < pass.plan.bolts.size(); ++i)
    if (pass.index.bolt(pass.plan.bolts[i].id) == i) liken(i, pass, nullptr);
  for (const Cell& cell : all_cells(seen)) replace(cell, judge(cell, seen));
}

std::vector<Judgement::Cell> Judgement::all_cells(const Seen& seen) const {
  using Kind = Cell::Kind;
  const Pass& pass = seen.pass;
  std::vector<Cell> out;
  const auto add = [&](Kind kind, std::size_t count, std::size_t from = 0) {
    for (std::size_t i = from; i < count; ++i) out.push_back({kind, i});
  };
  add(Kind::step, pass.plan.steps.size());
  for (std::size_t i = 0; i < pass.entries.size(); ++i)
    if (pass.entries[i].corrects && step_numbered(pass, pass.entries[i].step) == nullptr)
      out.push_back({Kind::lost_correction, i});
  add(Kind::doubt, pass.doubts.size());
  for (std::size_t i = 0; i < pass.plan.bolts.size(); ++i)
    if (pass.index.bolt(pass.plan.bolts[i].id) == i) out.push_back({Kind::piece, i});
  add(Kind::alike, groups_.size());
  add(Kind::operation, 1);
  add(Kind::voiding, pass.voidings.size());
  add(Kind::acceptance, pass.acceptances.size());
  add(Kind::damage, 1);
  add(Kind::clock, seen.book.events.size(), 1);
  add(Kind::trial, 1);
  return out;
}

std::vector<Found> Judgement::judge(const Cell& cell, const Seen& seen) {
  std::vector<Found> out = judge_cell(cell, seen);
  accept(out);
  return out;
}

std::vector<Found> Judgement::judge_cell(const Cell& cell, const Seen& seen) {
  const Pass& pass = seen.pass;
  Findings out(pass);
  switch (cell.kind) {
    case Cell::Kind::step:
      judge_step(pass, arrivals_.all(), cell.nth, Until::at_once, out);
      break;
    case Cell::Kind::lost_correction:
      judge_lost_correction(pass, cell.nth, out);
      break;
    case Cell::Kind::doubt:
      if (!pass.doubts[cell.nth].resolved && !predictions_)
        predictions_ = prepared_of(pass).value_or(plan::Prepared()).predictions;
      if (predictions_) judge_doubt(pass, cell.nth, *predictions_, out);
      break;
    case Cell::Kind::piece:
      judge_place(cell.nth, seen, out);
      break;
    case Cell::Kind::alike: {
      const std::set<std::size_t>& bolts = groups_[cell.nth].bolts;
      if (bolts.size() < joint::kFewestAlike || bolts.size() > joint::kMostAlike) break;
      std::vector<std::pair<std::size_t, const LikeBolt*>> alike;
      for (const std::size_t bolt : bolts) alike.emplace_back(bolt, &like_.at(bolt).second);
      judge_alike(pass, alike, out);
      break;
    }
    case Cell::Kind::operation:
      judge_build(seen, out);
      break;
    case Cell::Kind::voiding:
      tell_voiding(pass, cell.nth, out);
      break;
    case Cell::Kind::acceptance:
      tell_acceptance(pass, cell.nth, out);
      break;
    case Cell::Kind::damage:
      judge_damage(seen.book, pass, out);
      break;
    case Cell::Kind::clock:
      judge_clock(seen.book, pass, cell.nth, out);
      break;
    case Cell::Kind::trial:
      judge_trial(pass, out);
      break;
  }
  return std::move(out.all());
}

void Judgement::judge_place(std::size_t bolt, const Seen& seen, Findings& out) {
  const Pass& pass = seen.pass;
  const std::string& id = pass.plan.bolts[bolt].id;
  if (pass.lost || pass.index.turning(id).empty()) return;
  const auto [came, is_new] = came_with_.try_emplace(id);
  if (is_new)
    for (const Pass& before : seen.passes)
      if (before.number < pass.number && before.title == pass.title && !before.lost)
        follow_piece(before, id, came->second);
  std::optional<Piece> piece = came->second;
  follow_piece(pass, id, piece);
  if (piece) judge_piece(pass, bolt, *piece, out);
}

void Judgement::judge_build(const Seen& seen, Findings& out) {
  if (!seen.pass.build) return;
  own_build_ = may_wait_for_itself(seen.passes, seen.pass);
  std::vector<Finding> found;
  judge_operation(seen.book, seen.passes, seen.pass, found);
  for (Finding& f : found) out.add(Rule::operation, 0, std::move(f));
}

void Judgement::accept(std::vector<Found>& found) const {
  if (reasons_.empty()) return;
  for (auto& [key, f] : found) {
    if (key.part != Part::steps || !f.seq || f.severity == Severity::note) continue;
    if (const auto reason = reasons_.find(*f.seq); reason != reasons_.end()) f.accepted = reason->second;
  }
}

// What is pinned to a line stands at its step, or at none.
std::vector<Found> Judgement::at_line(std::int64_t line, const Pass& pass) const {
  std::set<std::optional<int>> steps{std::nullopt};
  if (const Entry* entry = entry_on(pass, line)) steps.insert(entry->step);
  if (const Doubt* doubt = doubt_on(pass, line)) steps.insert(doubt->step);
  std::vector<Found> out;
  for (const std::optional<int>& step : steps)
    for (auto at = found_.lower_bound({.step = step, .seq = line});
         at != found_.end() && at->first.part == Part::steps && at->first.step == step &&
         at->first.seq == line;
         ++at)
      out.push_back({at->first, at->second});
  return out;
}

std::vector<Finding> Judgement::of_line(std::int64_t line, const Pass& pass) const {
  std::vector<Finding> out;
  for (Found& found : at_line(line, pass)) out.push_back(std::move(found.finding));
  for (auto at = found_.lower_bound({.part = Part::damage}); at != found_.end(); ++at)
    if (at->second.seq == line) out.push_back(at->second);
  return out;
}

// What was found on the line stays; that it is accepted is said with it.
void Judgement::accept_line(std::int64_t line, const Pass& pass) {
  std::vector<Found> again = at_line(line, pass);
  accept(again);
  for (Found& found : again) put(std::move(found));
}

void Judgement::liken(std::size_t bolt, const Pass& pass, std::set<Cell>* touched) {
  const auto touch = [&](std::size_t group) {
    if (touched != nullptr) touched->insert({Cell::Kind::alike, group});
  };
  if (const auto in = like_.find(bolt); in != like_.end()) {
    groups_[in->second.first].bolts.erase(bolt);
    touch(in->second.first);
    like_.erase(in);
  }
  std::optional<LikeBolt> like = like_bolt(pass, bolt);
  if (!like) return;
  const auto [group, is_new] = group_of_.try_emplace(like->likeness, groups_.size());
  if (is_new) groups_.emplace_back();
  groups_[group->second].bolts.insert(bolt);
  touch(group->second);
  like_.emplace(bolt, std::make_pair(group->second, *std::move(like)));
}

std::vector<Finding> Judgement::take(const record::Event& event, const Seen& seen) {
  if (begins_a_pass(event)) {  // whatever it is judged by may be another now
    const std::vector<Finding> before = at_once();
    *this = Judgement(seen);
    return not_in(before, at_once());
  }
  const bool own = event.pass() == seen.pass.number;
  const bool damaged = !same_damages(damages_, seen.book.damages);
  std::set<Cell> cells;
  if (own) {
    Touched touched(*this, seen.pass);
    std::visit(touched, event.line);
    touched.highest();
    cells = std::move(touched.cells());
  } else {
    touch_places(event, seen, cells);
  }
  if (const std::size_t at = followed_++; at > 0) cells.insert({Cell::Kind::clock, at});
  if (damaged) {
    damages_ = seen.book.damages;
    cells.insert({Cell::Kind::damage, 0});
  }
  if (seen.pass.build && (!own || own_build_ || damaged)) cells.insert({Cell::Kind::operation, 0});
  std::vector<Finding> brought = renew(cells, seen);
  if (const auto* line = std::get_if<record::Accepted>(&event.line); line != nullptr && own) {
    reasons_[line->accepts] = seen.pass.acceptances.back().because;
    accept_line(line->accepts, seen.pass);
  }
  return brought;
}

// A line of another pass of the same machine, which came before this one: its pieces sit here now.
void Judgement::touch_places(const record::Event& event, const Seen& seen, std::set<Cell>& cells) {
  for (const Pass& other : seen.passes) {
    if (other.number != event.pass() || other.lost || other.title != seen.pass.title ||
        other.number > seen.pass.number)
      continue;
    for (const std::string& place : places_of(event, other)) {
      came_with_.erase(place);
      if (const auto bolt = seen.pass.index.bolt(place)) cells.insert({Cell::Kind::piece, *bolt});
    }
  }
}

std::vector<Finding> Judgement::renew(const std::set<Cell>& cells, const Seen& seen) {
  std::vector<std::pair<Cell, std::vector<Found>>> renewed;
  std::vector<Found> brought;
  for (const Cell& cell : cells) {
    renewed.emplace_back(cell, judge(cell, seen));
    for (const Found& found : renewed.back().second)
      if (!known(found)) brought.push_back(found);
  }
  for (auto& [cell, found] : renewed) replace(cell, std::move(found));
  std::sort(brought.begin(), brought.end(), [](const Found& a, const Found& b) { return a.key < b.key; });
  std::vector<Finding> out;
  out.reserve(brought.size());
  for (Found& found : brought) out.push_back(std::move(found.finding));
  return out;
}

// As not_in() tells findings apart.
bool Judgement::known(const Found& found) const {
  FindingKey from = found.key;
  if (from.part != Part::clock) from.nth = 0;  // what the clock did is told once a line
  for (auto at = found_.lower_bound(from); at != found_.end(); ++at) {
    const FindingKey& key = at->first;
    if (key.part != from.part || key.step != from.step || key.seq != from.seq || key.rule != from.rule) break;
    if (at->second.slug == found.finding.slug && at->second.seq == found.finding.seq &&
        at->second.state == found.finding.state)
      return true;
  }
  return false;
}

void Judgement::replace(const Cell& cell, std::vector<Found> found) {
  const auto before = in_cell_.find(cell);
  if (before == in_cell_.end() && found.empty()) return;
  std::vector<FindingKey> keys;
  keys.reserve(found.size());
  for (const Found& f : found) keys.push_back(f.key);
  if (before != in_cell_.end()) {
    for (const FindingKey& key : before->second)
      if (std::find(keys.begin(), keys.end(), key) == keys.end()) drop(key);
    in_cell_.erase(before);
  }
  for (Found& f : found) put(std::move(f));
  if (!keys.empty()) in_cell_.emplace(cell, std::move(keys));
}

void Judgement::put(Found found) {
  if (listed_) {
    const auto at = std::lower_bound(keys_.begin(), keys_.end(), found.key);
    const auto in_list = list_.begin() + (at - keys_.begin());
    if (at != keys_.end() && *at == found.key) {
      *in_list = found.finding;
    } else {
      list_.insert(in_list, found.finding);
      keys_.insert(at, found.key);
    }
  }
  found_.insert_or_assign(found.key, std::move(found.finding));
}

void Judgement::drop(const FindingKey& key) {
  found_.erase(key);
  if (!listed_) return;
  const auto at = std::lower_bound(keys_.begin(), keys_.end(), key);
  list_.erase(list_.begin() + (at - keys_.begin()));
  keys_.erase(at);
}

const std::vector<Finding>& Judgement::at_once() {
  if (!listed_) {
    keys_.clear();
    list_.clear();
    for (const auto& [key, finding] : found_) {
      keys_.push_back(key);
      list_.push_back(finding);
    }
    listed_ = true;
  }
  return list_;
}

std::vector<Finding> Judgement::findings(const Seen& seen, Until until,
                                         const PassEstimates* estimates) const {
  Findings more(seen.pass);
  if (until == Until::finished)
    for (std::size_t i = behind_; i < seen.pass.plan.steps.size(); ++i)
      judge_step(seen.pass, arrivals_.all(), i, until, more);
  if (until != Until::at_once)
    judge_friction(seen.pass, Pieces(seen.passes, seen.pass.number), estimates, more);
  accept(more.all());
  std::map<FindingKey, const Finding*> all;
  for (const auto& [key, finding] : found_) all.emplace_hint(all.end(), key, &finding);
  for (const Found& found : more.all()) all.insert_or_assign(found.key, &found.finding);
  std::vector<Finding> out;
  out.reserve(all.size());
  for (const auto& [key, finding] : all) out.push_back(*finding);
  return out;
}

}  // namespace clampbook::review
