#include <clampbook/plan/plan_json.h>
#include <clampbook/review/passes.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/error.h>

#include <algorithm>
#include <variant>

namespace clampbook::review {

using record::Event;

namespace {

std::optional<schedule::ToolList> tools_of(const record::Begun& begun) {
  if (!begun.tools) return std::nullopt;
  try {
    return schedule::read_tools(std::make_shared<const text::Source>("tools", *begun.tools));
  } catch (const InputError&) {
    return std::nullopt;  // a newer program's list; its readings still count
  }
}

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

bool before(const Pass& pass, std::int64_t number) {
  return pass.number < number;
}

}  // namespace

Pass& Passes::at(std::int64_t number) {
  auto found = std::lower_bound(passes_.begin(), passes_.end(), number, before);
  if (found == passes_.end() || found->number != number) {
    found = passes_.emplace(found);
    found->number = number;
  }
  return *found;
}

const Pass* Passes::find(std::int64_t number) const {
  const auto found = std::lower_bound(passes_.begin(), passes_.end(), number, before);
  return found != passes_.end() && found->number == number ? &*found : nullptr;
}

void Passes::keep(const Event& event, Lines& lines) {
  if (std::holds_alternative<record::Box<record::Begun>>(event.line)) {
    lines.begun = &event;
  } else if (const auto* planned = std::get_if<record::Box<record::Planned>>(&event.line)) {
    auto plan = plan::from_record((*planned)->plan);
    if (!plan) return;
    at(event.pass()).plan = *std::move(plan);
    lines.planned = &event;
  } else {
    if (lines.told) apply(at(event.pass()), event);
    lines.later.push_back(&event);
    return;
  }
  lines.told = false;
}

// From all its lines, as when the book is read.
void Passes::tell(std::int64_t number, Lines& lines) {
  if (lines.told || (lines.begun == nullptr && lines.planned == nullptr && lines.later.empty())) return;
  Pass pass;
  pass.number = number;
  if (lines.planned != nullptr) pass.plan = std::move(at(number).plan);
  if (lines.begun != nullptr) {
    const record::Begun& begun = *std::get<record::Box<record::Begun>>(lines.begun->line);
    begin(pass, *lines.begun, begun);
    if (lines.planned == nullptr) {
      const std::optional<plan::Prepared> prepared = prepared_of(pass);
      pass.lost = !prepared;
      if (prepared) pass.plan = *prepared->plan;
    }
  } else if (lines.planned != nullptr) {  // the line that began it may be damaged
    pass.title = pass.plan.title;
    pass.began = lines.planned->at;
  } else {
    // A pass of which nothing but entries is left keeps its number: no other pass may take them for its own.
    pass.began = lines.later.front()->at;
    pass.lost = true;
  }
  pass.index = plan::StepIndex(pass.plan);
  pass.standing = Standing(pass.plan.steps.size());
  for (const Event* event : lines.later) apply(pass, *event);
  at(number) = std::move(pass);
  lines.told = true;
}

void Passes::take(const Event& event) {
  const std::int64_t number = event.pass();
  if (number == 0) return;
  Lines& lines = lines_[number];
  keep(event, lines);
  tell(number, lines);
}

void Passes::take(const record::Book& book) {
  for (const Event& event : book.events)
    if (event.pass() != 0) keep(event, lines_[event.pass()]);
  for (auto& [number, lines] : lines_) tell(number, lines);
}

std::vector<Pass> read_passes(const record::Book& book) {
  Passes passes;
  passes.take(book);
  return std::move(passes).all();
}

}  // namespace clampbook::review
