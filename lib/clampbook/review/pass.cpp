#include <clampbook/plan/plan_json.h>
#include <clampbook/plan/prepare.h>
#include <clampbook/review/pass.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <array>
#include <limits>
#include <map>
#include <utility>

namespace clampbook::review {

using record::Event;
using text::Json;
using units::Dimension;

namespace {

std::optional<schedule::ToolList> tools_of(const Event& begun) {
  const auto text = begun.text("tools");
  if (!text) return std::nullopt;
  try {
    return schedule::read_tools(std::make_shared<const text::Source>("tools", *text));
  } catch (const InputError&) {
    return std::nullopt;  // a newer program's list; its readings still count
  }
}

std::optional<Measured> quantity(const Event& event, std::string_view key) {
  for (const auto& [name, value] : *event.body.as_object()) {
    if (!name.starts_with(key)) continue;
    for (const Dimension d :
         {Dimension::torque, Dimension::angle, Dimension::length, Dimension::force, Dimension::stress,
          Dimension::stiffness, Dimension::time, Dimension::temperature})
      if (const auto number = value.as_number();
          number && std::string_view(name).substr(key.size()) == units::machine_suffix(d))
        return Measured(*number, units::machine_unit(d));
  }
  return std::nullopt;
}

// In the unit of the last quantity that was typed, so that findings speak as the person did.
std::optional<Measured> as_typed(const std::optional<Measured>& value, std::string_view given) {
  if (!value) return value;
  for (std::size_t at = given.size(); at-- > 0;) {
    if (given[at] < '0' || given[at] > '9') continue;
    std::size_t start = at;
    while (start > 0 && (std::string_view("0123456789.").find(given[start - 1]) != std::string_view::npos))
      --start;
    const units::MeasuredScan scan = units::scan_measured(given, start);
    if (scan && scan.unit != nullptr && scan.unit->dimension == value->dimension())
      return value->converted_to(*scan.unit);
    break;
  }
  return value;
}

// What an event files at a step; nothing for events of another kind.
std::optional<Entry> entry_of(const Event& event) {
  static constexpr std::array<std::string_view, 4> kKinds{"reading", "tick", "count", "measure"};
  if (std::find(kKinds.begin(), kKinds.end(), event.kind) == kKinds.end()) return std::nullopt;
  const auto step = event.integer("step");
  if (!step) return std::nullopt;
  Entry entry;
  entry.seq = event.seq;
  entry.step = static_cast<int>(*step);
  entry.kind = event.kind;
  entry.given = event.view("given");
  entry.tool = event.view("tool");
  entry.click = entry.given == "click";
  entry.value = as_typed(quantity(event, "value"), entry.given);
  entry.count = event.number("value");
  entry.also = as_typed(quantity(event, "also"), event.view("also_given"));
  const Json* no_turn = event.body.find("no_turn");
  entry.no_turn = no_turn != nullptr && no_turn->as_bool() != nullptr && *no_turn->as_bool();
  entry.corrects = event.integer("corrects");
  entry.restores = event.integer("restores");
  entry.at = event.at;
  entry.written = event.written;
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

// What was entered at the step belongs to a piece that is no longer there.
void leave_behind(Pass& pass, int step) {
  const auto found = pass.entries_at.find(step);
  if (found == pass.entries_at.end()) return;
  for (const std::size_t entry : found->second) pass.entries[entry].past_piece = true;
  pass.entries_at.erase(found);
}

void apply_fitting(Pass& pass, const Event& event) {
  const Json* bolts = event.body.find("bolts");
  if (bolts == nullptr || bolts->as_array() == nullptr) return;
  for (const Json& id : *bolts->as_array()) {
    if (id.as_string() == nullptr) continue;
    const std::string& bolt = *id.as_string();
    pass.fittings.push_back({event.seq, bolt, event.kind == "fitted", event.integer("uses").value_or(0)});
    for (const auto* positions : {&pass.index.turning(bolt), &pass.index.gates(bolt)})
      for (const std::size_t position : *positions) leave_behind(pass, pass.plan.steps[position].step);
    if (event.kind == "fitted") resolve_doubts(pass, bolt, std::numeric_limits<int>::max(), 0);
  }
}

// The schedule as it was read when the pass began: of an operation of gates the build's text was kept.
schedule::Schedule kept_schedule(const Pass& pass) {
  const auto source = std::make_shared<const text::Source>("schedule", pass.schedule_text);
  return schedule::is_build(pass.schedule_text)
             ? schedule::read_own_gates(source, pass.build ? pass.build->operation : std::string())
             : schedule::read_schedule(source);
}

}  // namespace

std::optional<plan::Prepared> prepared_of(const Pass& pass) {
  if (pass.schedule_text.empty()) return std::nullopt;
  try {
    const schedule::Schedule schedule = kept_schedule(pass);
    std::vector<std::size_t> only;
    if (pass.only)
      only = schedule::select_bolts(
          schedule, std::make_shared<const text::Source>("--only", *pass.only, text::Source::Kind::argument));
    return plan::prepare_kept(schedule, only, pass.tools ? &*pass.tools : nullptr);
  } catch (const InputError&) {
    return std::nullopt;
  }
}

const Entry* entry_on(const Pass& pass, std::int64_t line) {
  const auto found = std::lower_bound(pass.entries.begin(), pass.entries.end(), line,
                                      [](const Entry& entry, std::int64_t n) { return entry.seq < n; });
  return found != pass.entries.end() && found->seq == line ? &*found : nullptr;
}

void apply(Pass& pass, const Event& event) {
  if (auto entry = entry_of(event)) {
    if (entry->corrects) void_line(pass, *entry->corrects, event.seq);
    const Step* step = step_numbered(pass, entry->step);
    if (step != nullptr && step->bolt && !entry->restores)
      resolve_doubts(pass, *step->bolt, step->step, event.seq);
    // A click stands for the target, and was set in its unit.
    if (step != nullptr && entry->click && entry->value && step->target &&
        step->target->dimension() == entry->value->dimension())
      entry->value = entry->value->converted_to(step->target->unit());
    pass.ended = entry->at;
    pass.entries_at[entry->step].push_back(pass.entries.size());
    pass.entries.push_back(std::move(*entry));
  } else if (event.kind == "void") {
    const std::int64_t line = event.integer("voids").value_or(-1);
    void_line(pass, line, event.seq);
    pass.voidings.push_back({event.seq, line, event.text("because").value_or("")});
  } else if (event.kind == "fitted" || event.kind == "removed") {
    apply_fitting(pass, event);
  } else if (event.kind == "unsure") {
    const std::string bolt = event.text("bolt").value_or("");
    pass.unresolved[bolt].push_back(pass.doubts.size());
    pass.doubts.push_back({event.seq, bolt, static_cast<int>(event.integer("step").value_or(0))});
  } else if (event.kind == "accepted") {
    const std::int64_t line = event.integer("accepts").value_or(-1);
    pass.acceptances.push_back({event.seq, line, event.text("because").value_or("")});
    if (const Doubt* doubt = on_line(pass.doubts, line)) forget_unresolved(pass, *doubt);
  } else if (event.kind == "abandoned") {
    pass.abandoned = true;
    pass.ended = event.at;
  }
}

std::vector<Pass> read_passes(const record::Book& book) {
  std::map<std::int64_t, Pass> passes;
  std::set<std::int64_t> begun;
  std::map<std::int64_t, bool> planned;
  std::map<std::int64_t, std::vector<const Event*>> later;
  for (const Event& event : book.events) {
    const auto number = event.integer("pass");
    if (!number) continue;
    if (event.kind == "begun") {
      Pass& pass = passes[*number];
      pass.number = *number;
      pass.seq = event.seq;
      pass.title = event.text("title").value_or("");
      pass.sha256 = event.text("sha256").value_or("");
      pass.schedule_text = event.text("schedule").value_or("");
      pass.only = event.text("only");
      const Json* trial = event.body.find("trial");
      pass.trial = trial != nullptr && trial->as_bool() != nullptr && *trial->as_bool();
      pass.began = event.at;
      pass.tools = tools_of(event);
      pass.build = build_part_of(event);
      begun.insert(*number);
    } else if (event.kind == "planned") {
      const Json* record = event.body.find("plan");
      if (auto plan = record != nullptr ? plan::from_record(*record) : std::nullopt) {
        Pass& pass = passes[*number];
        pass.number = *number;
        if (!begun.contains(*number)) {  // that line may be damaged
          pass.title = plan->title;
          pass.began = event.at;
        }
        pass.plan = std::move(*plan);
        planned[*number] = true;
      }
    } else {
      later[*number].push_back(&event);
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
