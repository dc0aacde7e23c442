#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/review/pass.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <limits>
#include <map>
#include <set>
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

std::optional<schedule::ToolList> tools_of(const record::Begun& begun) {
  if (!begun.tools) return std::nullopt;
  try {
    return schedule::read_tools(std::make_shared<const text::Source>("tools", *begun.tools));
  } catch (const InputError&) {
    return std::nullopt;  // a newer program's list; its readings still count
  }
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

void void_line(Pass& pass, std::int64_t line, std::int64_t by) {
  if (Entry* entry = on_line(pass.entries, line)) entry->voided_by = by;
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
void leave_behind(Pass& pass, int step) {
  const auto found = pass.entries_at.find(step);
  if (found == pass.entries_at.end()) return;
  for (const std::size_t entry : found->second) pass.entries[entry].past_piece = true;
  pass.entries_at.erase(found);
}

void fit(Pass& pass, std::int64_t seq, const std::vector<std::string>& bolts, bool fitted,
         std::int64_t uses) {
  for (const std::string& bolt : bolts) {
    pass.fittings.push_back({seq, bolt, fitted, uses});
    for (const auto* positions : {&pass.index.turning(bolt), &pass.index.gates(bolt)})
      for (const std::size_t position : *positions) leave_behind(pass, pass.plan.steps[position].step);
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

namespace {

void begin(Pass& pass, const Event& event, const record::Begun& begun) {
  pass.seq = event.seq;
  pass.title = begun.title;
  pass.sha256 = begun.sha256;
  pass.schedule_text = begun.schedule;
  pass.trial = begun.trial;
  pass.only = begun.only;
  pass.began = event.at;
  pass.tools = tools_of(begun);
  if (begun.build && begun.operation) pass.build = BuildPart{*begun.build, *begun.operation};
}

}  // namespace

std::vector<Pass> read_passes(const record::Book& book) {
  std::map<std::int64_t, Pass> passes;
  std::set<std::int64_t> begun;
  std::map<std::int64_t, bool> planned;
  std::map<std::int64_t, std::vector<const Event*>> later;
  for (const Event& event : book.events) {
    const std::int64_t number = event.pass();
    if (number == 0) continue;
    if (const auto* line = std::get_if<record::Box<record::Begun>>(&event.line)) {
      Pass& pass = passes[number];
      pass.number = number;
      begin(pass, event, **line);
      begun.insert(number);
    } else if (const auto* resolved = std::get_if<record::Box<record::Planned>>(&event.line)) {
      if (auto plan = plan::from_record((*resolved)->plan)) {
        Pass& pass = passes[number];
        pass.number = number;
        if (!begun.contains(number)) {  // that line may be damaged
          pass.title = plan->title;
          pass.began = event.at;
        }
        pass.plan = std::move(*plan);
        planned[number] = true;
      }
    } else {
      later[number].push_back(&event);
    }
  }
  // A pass of which nothing but entries is left keeps its number: no other pass may take them for its own.
  for (const auto& [number, events] : later) {
    const auto [at, is_new] = passes.try_emplace(number);
    if (!is_new) continue;
    at->second.number = number;
    at->second.began = events.front()->at;
    at->second.lost = true;
  }
  std::vector<Pass> out;
  out.reserve(passes.size());
  for (auto& [number, pass] : passes) {
    if (!pass.lost && !planned[number]) {
      const std::optional<plan::Prepared> prepared = prepared_of(pass);
      pass.lost = !prepared;
      if (prepared) pass.plan = *prepared->plan;
    }
    pass.index = plan::StepIndex(pass.plan);
    for (const Event* event : later[number]) apply(pass, *event);
    out.push_back(std::move(pass));
  }
  return out;
}

bool is_open(const Pass& pass) {
  return !pass.abandoned && !Progress(pass).complete();
}

Progress::Progress(const Pass& pass, bool empty) : pass_(pass), standing_(pass.plan.steps.size()) {
  if (empty) return;
  for (const Entry& entry : pass.entries)
    if (!entry.voided_by && !entry.past_piece && find(entry.step) != nullptr) fill(entry);
}

const Entry* Progress::standing(int step) const {
  const Step* found = find(step);
  return found != nullptr ? standing_[position(*found)] : nullptr;
}

bool Progress::read_again(int step) const {
  const Step* found = find(step);
  return found != nullptr && again_.contains(position(*found));
}

void Progress::fill(const Entry& entry) {
  const std::size_t at = position(*find(entry.step));
  if (standing_[at] == nullptr)
    ++filled_;
  else
    again_.insert(at);
  standing_[at] = &entry;
  highest_ = std::max(highest_, at + 1);
}

const Step* Progress::find(int step) const {
  return step_numbered(pass_, step);
}

const Step* Progress::due() const {
  if (pass_.abandoned) return nullptr;
  for (const Step& step : pass_.plan.steps)
    if (!filled(step.step)) return &step;
  return nullptr;
}

const Step* Progress::due_for(const std::string& bolt) const {
  for (const std::size_t position : pass_.index.turning(bolt))
    if (const Step& step = pass_.plan.steps[position]; !filled(step.step)) return &step;
  return nullptr;
}

int Progress::highest_filled(const std::string* bolt) const {
  if (bolt == nullptr) return highest_ == 0 ? 0 : pass_.plan.steps[highest_ - 1].step;
  const plan::StepIndex::Positions& positions = pass_.index.turning(*bolt);
  for (auto at = positions.rbegin(); at != positions.rend(); ++at)
    if (const int step = pass_.plan.steps[*at].step; filled(step)) return step;
  return 0;
}

void Progress::reopen(const std::string& bolt) {
  for (const auto* positions : {&pass_.index.turning(bolt), &pass_.index.gates(bolt)})
    for (const std::size_t position : *positions) {
      if (std::exchange(standing_[position], nullptr) != nullptr) --filled_;
      again_.erase(position);
    }
  while (highest_ > 0 && standing_[highest_ - 1] == nullptr) --highest_;
}

}  // namespace clampbook::review
