#include <clampbook/plan/plan_json.h>
#include <clampbook/report/pass_json.h>
#include <clampbook/report/public_copy.h>
#include <clampbook/report/record_charts.h>
#include <clampbook/report/record_page.h>
#include <clampbook/schedule/read_schedule.h>

#include "tests/support/catch.h"
#include "tests/unit/record/books.h"

#include <fmt/format.h>

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using namespace clampbook::books;

namespace {

constexpr const char* kSchedule =
    "format: fastener schedule 1\ntitle: Practice cover\nnotice: Invented data for practice.\n"
    "fasteners:\n  cover-bolt: {thread: M10, strength: \"10.9\", head: hexagon, grip: 80 mm, engagement: 20 "
    "mm}\n"
    "joint: {layers: [{material: steel, thickness: 80 mm, outer: 30 mm}], into: {material: steel, thread: "
    "tapped}}\n"
    "lubricant: {stated: engine oil, used: engine oil}\n"
    "bolts: [{id: 1, at: [0 mm, 0 mm]}, {id: 2, at: [80 mm, 0 mm]}]\n"
    "stages:\n  - {torque: 30 N·m}\n  - {angle: 60°}\n";

record::Draft reading(int step, int stage, const char* bolt, units::Dimension dimension, double value,
                      const char* given) {
  record::Draft out{kNow,
                    record::Reading{{1, step, stage, bolt}, record::Quantity{dimension, value}, {}, given}};
  out.remarks.tool = "bench";
  out.remarks.by = "Maren";
  return out;
}

// A pass whose bolt 1 is read at both stages, bolt 2 at the first.
struct Practice {
  Folder folder;
  std::string name = folder.file("p.book");
  record::Book book;
  std::vector<review::Pass> passes;
  std::vector<review::Finding> findings;

  Practice() {
    const plan::Plan plan =
        plan::make_plan(schedule::read_schedule(std::make_shared<const text::Source>("s.yaml", kSchedule)));
    {
      record::BookFile file(name, record::BookFile::Missing::create);
      record::Begun start{1, plan.title, "/home/maren/s.yaml", "0"};
      start.program = "test";
      start.schedule = kSchedule;
      const record::Draft begun{kNow, record::Box(start)};
      const record::Draft planned{kNow, record::Box(record::Planned{1, plan::to_record(plan)})};
      file.append({begun, planned, reading(1, 1, "1", units::Dimension::torque, 30.1, "30.1 Nm"),
                   reading(2, 1, "2", units::Dimension::torque, 34, "34 Nm"),
                   reading(3, 2, "1", units::Dimension::angle, 61, "61 deg")},
                  kNow);
    }
    book = record::read_book(name);
    passes = review::read_passes(book);
    findings = review::find_findings(book, passes, passes.front(), review::Until::finished);
  }

  [[nodiscard]] report::Record record() const { return {name, book, passes, passes.front(), findings}; }
};

bool holds(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a bolt bears the worst that is said of it", "[report][record]") {
  const Practice p;
  const auto marks = report::bolt_marks(p.passes.front(), p.findings);
  REQUIRE(marks == std::vector{report::BoltMark::in_window, report::BoltMark::fault});
  std::vector<review::Finding> accepted = p.findings;
  for (review::Finding& f : accepted) f.accepted = "a reason";
  REQUIRE(report::bolt_marks(p.passes.front(), accepted)[1] == report::BoltMark::accepted);
}

TEST_CASE("without an estimate the record says why", "[report][record]") {
  const Practice p;
  std::vector<review::BoltState> states = review::bolt_states(p.passes, p.passes.front());
  REQUIRE_FALSE(states[1].estimate.preload);  // a torque alone identifies nothing
  REQUIRE_FALSE(states[1].estimate.why_not.empty());
  REQUIRE(
      holds(report::record_page(p.record(), {}), "Clamp load: not estimated: " + states[1].estimate.why_not));
  for (review::BoltState& state : states) state.estimate = {{}, {}, {}, "no reason"};
  const std::string page = report::record_page(p.record(), states, {});
  REQUIRE(holds(page, "Clamp load: not estimated: no reason."));
  REQUIRE_FALSE(holds(page, "Clamp load against yield"));
}

TEST_CASE("estimates stand in the record with their intervals", "[report][record]") {
  const Practice p;
  std::vector<review::BoltState> states = review::bolt_states(p.passes, p.passes.front());
  states[0].estimate = {
      review::Interval{31'200, 27'400, 35'100}, review::Interval{0.13, 0.11, 0.15}, 0.25, {}};
  const std::string page = report::record_page(p.record(), states, {});
  REQUIRE(
      holds(page,
            "Clamp load 31.2 kN, 90 % between 27.4 and 35.1 kN; friction 0.13, 90 % between 0.11 and 0.15; "
            "past its yield point with a probability of 25 %."));
  REQUIRE(holds(page, "Clamp load against yield"));
  // 31.2 kN are 7014 lbf (one pound-force is 4.4482216152605 N).
  REQUIRE(holds(report::record_page(p.record(), states, {units::System::imperial}), "Clamp load 7010 lbf,"));
}

TEST_CASE("what the window judges is the reading without the lock nut", "[report][record]") {
  plan::Step step;
  step.low = units::Measured(28, units::newton_metre_unit());
  step.high = units::Measured(32, units::newton_metre_unit());
  review::Entry entry;
  entry.value = units::Measured(33, units::newton_metre_unit());
  REQUIRE(report::judged_part(step, entry)->number() == 33);
  step.prevailing = units::Measured(2, units::newton_metre_unit());
  REQUIRE(report::judged_part(step, entry)->number() == 31);
  entry.value = units::Measured(33, units::degree_unit());
  REQUIRE_FALSE(report::judged_part(step, entry));
}

TEST_CASE("a public copy keeps what was done and drops who and where", "[report][public]") {
  const Practice p;
  const report::PublicCopy copy = report::public_copy(p.book, p.passes, 1);
  REQUIRE(copy.findings.size() == p.findings.size());
  std::string all;
  for (const record::Event& event : copy.book.events) all += record::open_line(event) + "\n";
  for (const char* word : {"Maren", "maren", "bench", "+02:00", "s.yaml"}) REQUIRE_FALSE(holds(all, word));
  REQUIRE(holds(all, "tool 1"));
  REQUIRE(holds(all, "2026-05-04T07:30:00.000+00:00"));  // 09:30 two hours east of Greenwich
  REQUIRE(holds(all, "30.1"));
  REQUIRE(copy.pass(1).entries.front().tool == "tool 1");
}

TEST_CASE("the machine's copy of a bolt gives estimates or null", "[report][record]") {
  const Practice p;
  const text::Json json = report::check_json(p.name, p.book, p.passes.front(), p.findings,
                                             review::bolt_states(p.passes, p.passes.front()));
  const text::Json& bolt = json.find("bolts")->as_array()->back();
  REQUIRE(bolt.find("preload_N")->is_null());
  REQUIRE(bolt.find("friction")->is_null());
  REQUIRE(bolt.find("yielded")->is_null());
  REQUIRE(bolt.find("why_not")->as_string() != nullptr);
}
