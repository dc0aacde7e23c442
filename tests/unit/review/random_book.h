// A book in memory that somebody fills in every way that a book allows, well ordered or not.
#pragma once

#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book.h>
#include <clampbook/review/operation.h>
#include <clampbook/review/passes.h>
#include <clampbook/schedule/build.h>
#include <clampbook/schedule/read_schedule.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <random>
#include <string>
#include <utility>
#include <vector>

namespace clampbook::test {

/// One fastener that may be used three times, one whose growth counts; gates of every kind; four bolts that
/// are alike and turned by an angle.
inline constexpr const char* kEveryStage =
    "format: fastener schedule 1\ntitle: Housing\n"
    "fasteners:\n"
    "  a: {thread: M10, strength: \"10.9\", grip: 50 mm, shank: 30 mm, engagement: 18 mm, reuse: {times: "
    "1}}\n"
    "  b: {thread: M8, strength: \"8.8\", grip: 22 mm, shank: 8 mm, engagement: 16 mm, reuse: {growth_below: "
    "0.02 mm}}\n"
    "bolts:\n"
    "  - {id: 1, group: g, fastener: a}\n  - {id: 2, group: g, fastener: a}\n  - {id: 3, group: g, fastener: "
    "a}\n"
    "  - {id: 4, group: g, fastener: a}\n  - {id: 5, group: h, fastener: b}\n"
    "order: listed\n"
    "stages:\n"
    "  - {measure: length, from: 58.8 mm, to: 59.2 mm, each: bolts, name: free}\n"
    "  - {count: dowels, expect: 2}\n"
    "  - {snug: 5 N·m}\n"
    "  - {torque: 20 N·m}\n"
    "  - {wait: 1 min}\n"
    "  - {angle: 30°, tolerance: 5°, bolts: g, final_torque: 40..65 N·m}\n"
    "  - {do: look, each: bolts}\n"
    "  - {loosen: 90°, bolts: h}\n"
    "  - {torque: 15 N·m, bolts: h}\n"
    "  - {recheck: 15 N·m, bolts: h}\n"
    "  - {measure: gap, below: 2 mm}\n";

/// Two operations on gates; the second waits for the first.
inline constexpr const char* kBuild =
    "format: build 1\ntitle: Pump\noperations:\n"
    "  - {name: a, stages: [{do: one}, {count: two, expect: 2}]}\n"
    "  - {name: b, stages: [{do: three}], after: a}\n";
/// The same build later, the other way round: they form a ring.
inline constexpr const char* kTurnedBuild =
    "format: build 1\ntitle: Pump\noperations:\n"
    "  - {name: a, stages: [{do: one}, {count: two, expect: 2}], after: b}\n"
    "  - {name: b, stages: [{do: three}]}\n";

class RandomBook {
 public:
  /// Of three one is wild, one calm, so that bolts can be alike, and one goes through the operations of a
  /// build.
  explicit RandomBook(std::uint32_t seed) : random_(seed), calm_(seed % 3 != 0), builds_(seed % 3 == 2) {
    begin();
  }

  [[nodiscard]] const record::Book& book() const { return book_; }
  [[nodiscard]] const review::Passes& passes() const { return passes_; }
  /// The lines that are not in passes() yet; each is to be taken.
  [[nodiscard]] const std::vector<const record::Event*>& fresh() const { return fresh_; }
  const record::Event& take_fresh() {
    const record::Event& event = *fresh_.front();
    fresh_.erase(fresh_.begin());
    passes_.take(event);
    return event;
  }

  /// Writes something.
  void write() {
    const std::vector<review::Pass>& all = passes_.all();
    const review::Pass& pass = all[below(all.size())];
    if (!builds_ && one_in(60)) {
      book_.damages.push_back({line_ + 1, one_in(2), "line " + std::to_string(++line_) + " is damaged"});
      return;
    }
    if (one_in(builds_ ? 8 : 30) && pass_ < (builds_ ? 8 : 5)) return begin();
    if (one_in(calm_ ? 25 : 12)) return amend(pass);
    entry(pass);
  }

 private:
  std::size_t below(std::size_t n) {
    return n == 0 ? 0 : std::uniform_int_distribution<std::size_t>(0, n - 1)(random_);
  }
  bool one_in(std::size_t n) { return below(n) == 0; }
  double about(double value) {
    if (calm_ && !one_in(12)) return value * (1 + static_cast<double>(below(5)) / 1000);
    const double off[] = {1, 1, 1, 1.01, 0.7, 1.4, 1.2};
    return value * off[below(7)] * (1 + static_cast<double>(below(9)) / 1000);
  }

  void add(record::Line line, std::optional<std::string> tool = {}, std::optional<std::string> because = {}) {
    record::Event event;
    event.seq = ++line_;
    now_ += one_in(30) ? -5000 : static_cast<std::int64_t>(1000 * below(30));
    event.written = record::Timestamp{now_, 0};
    event.at = record::Timestamp{now_ - (one_in(20) ? 300'000 : 0), 0};
    event.line = std::move(line);
    if (tool) event.remarks.edit().tool = std::move(tool);
    if (because) event.remarks.edit().because = std::move(because);
    book_.events.push_back(std::move(event));
    fresh_.push_back(&book_.events.back());
  }

  void begin() {
    ++pass_;
    const bool gates = builds_ ? !one_in(6) : pass_ > 1 && one_in(4);
    const std::string build = one_in(2) ? kTurnedBuild : kBuild;
    const auto source =
        std::make_shared<const text::Source>("s.yaml", gates ? build : std::string(kEveryStage));
    record::Begun line{pass_, "", "s.yaml"};
    line.schedule = gates ? build : std::string(kEveryStage);
    line.trial = one_in(6);
    plan::Plan plan;
    if (gates) {
      const schedule::Build read = schedule::read_build(source);
      const schedule::Operation& operation = *read.find(one_in(2) ? "a" : "b");
      plan = plan::make_plan(operation.schedule, operation.only);
      line.operation = operation.name;
      line.build = review::build_part(read, operation, "x").build;
    } else {
      plan = plan::make_plan(schedule::read_schedule(source));
      line.tools =
          "format: tool list 1\ntitle: Bench\ntorque_wrenches:\n"
          "  W: {range: 10..30 N·m, accuracy: 4 %, calibrated: 2019-01-01, due: 2020-01-01}\n";
    }
    line.title = plan.title;
    const bool damaged = one_in(10);  // the line of its plan
    add(record::Box(std::move(line)));
    if (!damaged) add(record::Box(record::Planned{pass_, plan::to_record(plan)}));
  }

  std::int64_t some_line(const review::Pass& pass) {
    if (!pass.entries.empty() && !one_in(8))
      return pass
          .entries[pass.entries.size() - 1 -
                   below(std::min<std::size_t>(pass.entries.size(), one_in(3) ? 30 : 2))]
          .seq;
    return static_cast<std::int64_t>(below(static_cast<std::size_t>(line_) + 2));
  }

  std::string some_bolt(const review::Pass& pass) {
    return pass.plan.bolts.empty() || one_in(15) ? "nobody"
                                                 : pass.plan.bolts[below(pass.plan.bolts.size())].id;
  }

  void amend(const review::Pass& pass) {
    switch (below(9)) {
      case 0:
      case 1:
        return add(record::Void{pass.number, some_line(pass)}, {},
                   one_in(2) ? std::optional("why") : std::nullopt);
      case 2:
        return add(record::Fitted{
            pass.number, {some_bolt(pass)}, one_in(2) ? std::optional<std::int64_t>(1) : std::nullopt});
      case 3:
        return add(record::Removed{pass.number, {some_bolt(pass), some_bolt(pass)}});
      case 4: {
        record::Place at{pass.number, static_cast<int>(below(pass.plan.steps.size() + 2))};
        const plan::Step* step = review::step_numbered(pass, at.step);
        at.bolt = step != nullptr && step->bolt ? *step->bolt : some_bolt(pass);
        return add(record::Unsure{std::move(at)});
      }
      case 5:
      case 6:
        return add(record::Accepted{pass.number, one_in(8) ? pass.seq : some_line(pass)}, {}, "because");
      case 7:
        if (one_in(20)) return add(record::Abandoned{pass.number});
        [[fallthrough]];
      default:
        return add(record::Note{pass.number});
    }
  }

  void entry(const review::Pass& pass) {
    const review::Progress progress(pass);
    const plan::Step* step = progress.due();
    if (const std::size_t n = pass.plan.steps.size(); n > 0 && (step == nullptr || one_in(calm_ ? 20 : 5)))
      step = &pass.plan.steps[one_in(2) && step != nullptr
                                  ? std::min(n - 1, static_cast<std::size_t>(step->step) + below(4))
                                  : below(n)];
    std::optional<std::int64_t> corrects;
    if (one_in(calm_ ? 20 : 6)) {
      corrects = some_line(pass);
      const review::Entry* entry = review::entry_on(pass, *corrects);
      if (entry != nullptr && !one_in(3)) step = review::step_numbered(pass, entry->step);
    }
    if (step == nullptr) return add(record::Tick{{pass.number, 99}, corrects});
    const record::Place at{pass.number, step->step, step->stage, step->bolt};
    if (step->kind == plan::StageKind::count)
      return add(record::Count{at, one_in(3) ? 1.0 : 2.0, "2", corrects});
    if (step->kind == plan::StageKind::measure)
      return add(record::Measure{
          at,
          record::Quantity{units::Dimension::length,
                           step->label ? 58.8 + 0.01 * static_cast<double>(below(6)) : about(1.9)},
          "", corrects});
    if (step->is_gate()) return add(record::Tick{at, corrects});
    reading(*step, at, corrects);
  }

  void reading(const plan::Step& step, const record::Place& at, std::optional<std::int64_t> corrects) {
    record::Reading line{at};
    line.corrects = corrects;
    if (const auto dimension = step.reading_dimension(); dimension && !one_in(12)) {
      const bool torque = *dimension == units::Dimension::torque;
      const bool told = torque && step.target && step.target->dimension() == *dimension;
      line.value = record::Quantity{*dimension, about(told     ? step.target->in(units::newton_metre_unit())
                                                      : torque ? 5
                                                               : 30)};
      line.given = one_in(10) ? "click" : "";
    } else {
      line.given = "done";
    }
    if (step.kind == plan::StageKind::angle && (calm_ || !one_in(3)))
      line.also = record::Quantity{units::Dimension::torque, about(50)};
    if (step.kind == plan::StageKind::recheck && one_in(2))
      line.also = record::Quantity{units::Dimension::angle, static_cast<double>(below(12))};
    line.no_turn = one_in(15);
    if (corrects && one_in(4)) line.restores = *corrects;
    add(std::move(line), one_in(calm_ ? 50 : 8) ? std::optional<std::string>("W") : std::nullopt);
  }

  std::mt19937 random_;
  bool calm_, builds_;
  record::Book book_{};
  review::Passes passes_{};
  std::vector<const record::Event*> fresh_{};
  std::int64_t line_ = 0, pass_ = 0, now_ = 1'777'000'000'000;
};

}  // namespace clampbook::test
