#include <clampbook/plan/prepare.h>
#include <clampbook/review/pass.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <limits>
#include <utility>

namespace clampbook::review {

using record::Event;

namespace {

// The schedule as it was read when the pass began: of an operation of gates the build's text was kept.
schedule::Schedule kept_schedule(const Pass& pass) {
  const auto source = std::make_shared<const text::Source>("schedule", pass.schedule_text);
  return schedule::is_build(pass.schedule_text)
             ? schedule::read_own_gates(source, pass.build ? pass.build->operation : std::string())
             : schedule::read_schedule(source);
}

// In the unit of the last quantity that was typed, so that findings speak as the person did.
std::optional<Measured> as_typed(const std::optional<record::Quantity>& quantity, std::string_view given) {
  if (!quantity) return std::nullopt;
  const Measured value = record::measured(*quantity);
  for (std::size_t at = given.size(); at-- > 0;) {
    if (given[at] < '0' || given[at] > '9') continue;
    std::size_t start = at;
    while (start > 0 && (std::string_view("0123456789.").find(given[start - 1]) != std::string_view::npos))
      --start;
    const units::MeasuredScan scan = units::scan_measured(given, start);
    if (scan && scan.unit != nullptr && scan.unit->dimension == value.dimension())
      return value.converted_to(*scan.unit);
    break;
  }
  return value;
}

void fill(Entry& entry, const record::Reading& reading) {
  entry.given = reading.given;
  entry.click = reading.given == "click";
  entry.value = as_typed(reading.value, reading.given);
  entry.also = as_typed(reading.also, reading.also_given);
  entry.no_turn = reading.no_turn;
  entry.restores = reading.restores;
}
void fill(Entry& entry, const record::Count& count) {
  entry.given = count.given;
  entry.count = count.value;
}
void fill(Entry& entry, const record::Measure& measure) {
  entry.given = measure.given;
  entry.value = as_typed(measure.value, measure.given);
}
void fill(Entry&, const record::Tick&) {}

// What a line files at a step.
template <class Filed>
Entry entry_of(const Event& event, const Filed& filed) {
  Entry entry;
  entry.seq = event.seq;
  entry.step = filed.at.step;
  entry.kind = event.kind();
  entry.tool = event.remarks->tool.value_or("");
  entry.corrects = filed.corrects;
  entry.at = event.at;
  entry.written = event.written;
  fill(entry, filed);
  return entry;
}

// Both lists are in the order of the book.
template <class Item>
Item* on_line(std::vector<Item>& items, std::int64_t line) {
  const auto found = std::lower_bound(items.begin(), items.end(), line,
                                      [](const Item& item, std::int64_t n) { return item.seq < n; });
  return found != items.end() && found->seq == line ? &*found : nullptr;
}

void forget_unresolved(Pass& pass, const Doubt& doubt) {
  const auto open = pass.unresolved.find(doubt.bolt);
  if (open == pass.unresolved.end()) return;
  std::erase(open->second, static_cast<std::size_t>(&doubt - pass.doubts.data()));
  if (open->second.empty()) pass.unresolved.erase(open);
}

bool fitted_since(const Pass& pass, const Doubt& doubt) {
  return std::any_of(pass.fittings.begin(), pass.fittings.end(),
                     [&](const Fitting& f) { return f.fitted && f.seq > doubt.seq && f.bolt == doubt.bolt; });
}

// What stands at the step of an entry that counts no more.
void stand_anew(Pass& pass, int number) {
  const Step* step = step_numbered(pass, number);
  if (step == nullptr) return;
  std::size_t standing = Standing::kNone, count = 0;
  for (const std::size_t i : pass.entries_at.at(number)) {
    if (pass.entries[i].voided_by || pass.entries[i].past_piece) continue;
    standing = i;
    ++count;
  }
  if (count == 0)
    pass.standing.open(position_of(pass, *step));
  else
    pass.standing.set(position_of(pass, *step), standing, count > 1);
}

void void_line(Pass& pass, std::int64_t line, std::int64_t by) {
  if (Entry* entry = on_line(pass.entries, line)) {
    entry->voided_by = by;
    stand_anew(pass, entry->step);
  }
  if (Doubt* doubt = on_line(pass.doubts, line)) {
    doubt->resolved = true;
    forget_unresolved(pass, *doubt);
  }
  // What a reading had settled is open again without it.
  for (std::size_t i = 0; i < pass.doubts.size(); ++i) {
    Doubt& doubt = pass.doubts[i];
    if (!doubt.resolved || doubt.resolved_by != line || fitted_since(pass, doubt)) continue;
    doubt.resolved = false;
    pass.unresolved[doubt.bolt].push_back(i);
  }
}

// A reading settles the doubts about its stage and those before it; another piece settles them all.
void resolve_doubts(Pass& pass, const std::string& bolt, int up_to, std::int64_t by) {
  const auto found = pass.unresolved.find(bolt);
  if (found == pass.unresolved.end()) return;
  std::erase_if(found->second, [&](std::size_t doubt) {
    if (pass.doubts[doubt].step > up_to) return false;
    pass.doubts[doubt].resolved = true;
    pass.doubts[doubt].resolved_by = by;
    return true;
  });
  if (found->second.empty()) pass.unresolved.erase(found);
}

// What was entered at the step belongs to a piece that is no longer there.
void leave_behind(Pass& pass, std::size_t position) {
  pass.standing.open(position);
  const auto found = pass.entries_at.find(pass.plan.steps[position].step);
  if (found == pass.entries_at.end()) return;
  for (const std::size_t entry : found->second) pass.entries[entry].past_piece = true;
}

void fit(Pass& pass, std::int64_t seq, const std::vector<std::string>& bolts, bool fitted,
         std::int64_t uses) {
  for (const std::string& bolt : bolts) {
    pass.fittings_of[bolt].push_back(pass.fittings.size());
    pass.fittings.push_back({seq, bolt, fitted, uses});
    for (const auto* positions : {&pass.index.turning(bolt), &pass.index.gates(bolt)})
      for (const std::size_t position : *positions) leave_behind(pass, position);
    if (fitted) resolve_doubts(pass, bolt, std::numeric_limits<int>::max(), 0);
  }
}

void take_entry(Pass& pass, const Event& event, Entry entry) {
  if (entry.corrects) void_line(pass, *entry.corrects, event.seq);
  const Step* step = step_numbered(pass, entry.step);
  if (step != nullptr && step->bolt && !entry.restores)
    resolve_doubts(pass, *step->bolt, step->step, event.seq);
  // A click stands for the target, and was set in its unit.
  if (step != nullptr && entry.click && entry.value && step->target &&
      step->target->dimension() == entry.value->dimension())
    entry.value = entry.value->converted_to(step->target->unit());
  pass.ended = entry.at;
  if (step != nullptr) pass.standing.fill(position_of(pass, *step), pass.entries.size());
  pass.entries_at[entry.step].push_back(pass.entries.size());
  pass.entries.push_back(std::move(entry));
}

// What each kind of line changes.
class Applied {
 public:
  Applied(Pass& pass, const Event& event) : pass_(pass), event_(event) {}

  void operator()(const record::Reading& line) { file_at_step(line); }
  void operator()(const record::Tick& line) { file_at_step(line); }
  void operator()(const record::Count& line) { file_at_step(line); }
  void operator()(const record::Measure& line) { file_at_step(line); }
  void operator()(const record::Void& line) {
    void_line(pass_, line.voids, event_.seq);
    pass_.voidings.push_back({event_.seq, line.voids, event_.remarks->because.value_or("")});
  }
  void operator()(const record::Fitted& line) {
    fit(pass_, event_.seq, line.bolts, true, line.uses.value_or(0));
  }
  void operator()(const record::Removed& line) { fit(pass_, event_.seq, line.bolts, false, 0); }
  void operator()(const record::Unsure& line) {
    const std::string bolt = line.at.bolt.value_or("");
    pass_.unresolved[bolt].push_back(pass_.doubts.size());
    pass_.doubts.push_back({event_.seq, bolt, line.at.step});
  }
  void operator()(const record::Accepted& line) {
    pass_.acceptances.push_back({event_.seq, line.accepts, event_.remarks->because.value_or("")});
    if (const Doubt* doubt = on_line(pass_.doubts, line.accepts)) forget_unresolved(pass_, *doubt);
  }
  void operator()(const record::Abandoned&) {
    pass_.abandoned = true;
    pass_.ended = event_.at;
  }
  void operator()(const record::Note&) {}
  void operator()(const record::Box<record::Begun>&) {}
  void operator()(const record::Box<record::Planned>&) {}
  void operator()(const record::Unknown&) {}

 private:
  template <class Filed>
  void file_at_step(const Filed& line) {
    if (line.at.step != 0) take_entry(pass_, event_, entry_of(event_, line));
  }

  Pass& pass_;
  const Event& event_;
};

}  // namespace

std::optional<plan::Prepared> prepared_of(const Pass& pass) {
  if (pass.schedule_text.empty()) return std::nullopt;
  try {
    const schedule::Schedule schedule = kept_schedule(pass);
    std::vector<std::size_t> only;
    if (pass.only) only = schedule::select_bolts(schedule, text::argument("--only", *pass.only));
    return plan::prepare_kept(schedule, only, pass.tools ? &*pass.tools : nullptr);
  } catch (const InputError&) {
    return std::nullopt;
  }
}

const Step* step_numbered(const Pass& pass, int number) {
  const std::vector<Step>& steps = pass.plan.steps;
  if (number < 1) return nullptr;
  // The numbers count on from 1, unless some bolts were left out.
  if (const auto place = static_cast<std::size_t>(number) - 1;
      place < steps.size() && steps[place].step == number)
    return &steps[place];
  const auto found =
      std::lower_bound(steps.begin(), steps.end(), number, [](const Step& s, int n) { return s.step < n; });
  return found != steps.end() && found->step == number ? &*found : nullptr;
}

const Entry* entry_on(const Pass& pass, std::int64_t line) {
  const auto found = std::lower_bound(pass.entries.begin(), pass.entries.end(), line,
                                      [](const Entry& entry, std::int64_t n) { return entry.seq < n; });
  return found != pass.entries.end() && found->seq == line ? &*found : nullptr;
}

void apply(Pass& pass, const Event& event) {
  std::visit(Applied(pass, event), event.line);
}

bool is_open(const Pass& pass) {
  return !pass.abandoned && !Progress(pass).complete();
}

void Standing::set(std::size_t step, std::size_t entry, bool again) {
  if (entries_[step] == 0) ++filled_;
  entries_[step] = static_cast<std::uint32_t>(entry + 1);
  if (again)
    again_.insert(step);
  else
    again_.erase(step);
  behind_filled_ = std::max(behind_filled_, step + 1);
  while (first_open_ < entries_.size() && entries_[first_open_] != 0) ++first_open_;
}

void Standing::open(std::size_t step) {
  again_.erase(step);
  if (std::exchange(entries_[step], 0) == 0) return;
  --filled_;
  first_open_ = std::min(first_open_, step);
  while (behind_filled_ > 0 && entries_[behind_filled_ - 1] == 0) --behind_filled_;
}

namespace {
const Standing kNothing;
}

Progress::Progress(const Pass& pass, bool empty) : pass_(pass), standing_(empty ? kNothing : pass.standing) {}

const Entry* Progress::standing(int step) const {
  const Step* found = find(step);
  const std::size_t entry = found != nullptr ? standing_.at(position_of(pass_, *found)) : Standing::kNone;
  return entry != Standing::kNone ? &pass_.entries[entry] : nullptr;
}

bool Progress::read_again(int step) const {
  const Step* found = find(step);
  return found != nullptr && standing_.again(position_of(pass_, *found));
}

const Step* Progress::find(int step) const {
  return step_numbered(pass_, step);
}

const Step* Progress::due() const {
  const std::size_t open = standing_.first_open();
  return !pass_.abandoned && open < pass_.plan.steps.size() ? &pass_.plan.steps[open] : nullptr;
}

const Step* Progress::due_for(const std::string& bolt) const {
  for (const std::size_t position : pass_.index.turning(bolt))
    if (standing_.at(position) == Standing::kNone) return &pass_.plan.steps[position];
  return nullptr;
}

int Progress::highest_filled(const std::string* bolt) const {
  const std::size_t behind = standing_.behind_filled();
  if (bolt == nullptr) return behind == 0 ? 0 : pass_.plan.steps[behind - 1].step;
  const plan::StepIndex::Positions& positions = pass_.index.turning(*bolt);
  for (auto at = positions.rbegin(); at != positions.rend(); ++at)
    if (standing_.at(*at) != Standing::kNone) return pass_.plan.steps[*at].step;
  return 0;
}

}  // namespace clampbook::review
