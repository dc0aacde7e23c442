#include <clampbook/plan/plan_json.h>
#include <clampbook/record/timestamp.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/operation.h>
#include <clampbook/schedule/build.h>
#include <clampbook/text/error.h>

#include "tests/support/catch.h"

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)

constexpr const char* kAThenB =
    "format: build 1\ntitle: Pump\noperations:\n"
    "  - {name: a, stages: [{do: one}, {do: two}]}\n"
    "  - {name: b, stages: [{do: three}], after: a}\n";
constexpr const char* kBThenA =
    "format: build 1\ntitle: Pump\noperations:\n"
    "  - {name: a, stages: [{do: one}, {do: two}], after: b}\n"
    "  - {name: b, stages: [{do: three}]}\n";

// A book of passes through operations of gates, in memory.
class Passes {
 public:
  /// Begins a pass, with its plan in the book or without it.
  void begin(const std::string& build, const std::string& operation, bool trial = false,
             bool with_plan = true) {
    ++pass_;
    const auto source = std::make_shared<const text::Source>("pump.yaml", build);
    const schedule::Build read = schedule::read_build(source);
    const schedule::Operation& begun = *read.find(operation);
    const plan::Plan plan = plan::make_plan(begun.schedule, begun.only);
    record::Begun line{pass_, plan.title};
    line.trial = trial;
    line.schedule = build;
    line.operation = operation;
    line.build = review::build_part(read, begun, "x").build;
    add(record::Box(std::move(line)));
    if (with_plan) add(record::Box(record::Planned{pass_, plan::to_record(plan)}));
  }
  void tick(int step) { add(record::Tick{{pass_, step}}); }
  void accept(std::int64_t line) {
    add(record::Accepted{pass_, line});
    book_.events.back().remarks.edit().because = "done elsewhere";
  }
  void abandon() { add(record::Abandoned{pass_}); }

  [[nodiscard]] std::vector<review::Pass> read() const { return review::read_passes(book_); }
  /// The texts of the faults that stand on the line that began the pass.
  [[nodiscard]] std::vector<std::string> against(std::size_t pass) const {
    const std::vector<review::Pass> passes = read();
    std::vector<std::string> out;
    for (const review::Finding& f :
         review::find_findings(book_, passes, passes[pass - 1], review::Until::so_far))
      if (f.seq == passes[pass - 1].seq && f.severity == review::Severity::fault && !f.accepted)
        out.push_back(f.slug + ": " + f.text);
    return out;
  }
  [[nodiscard]] review::BuildState state() const {
    const std::vector<review::BuildState> all = review::build_states(book_, read());
    REQUIRE(all.size() == 1);
    return all.front();
  }

 private:
  void add(record::Line line) {
    record::Event event;
    event.seq = ++line_;
    event.line = std::move(line);
    book_.events.push_back(std::move(event));
  }

  record::Book book_;
  std::int64_t line_ = 0, pass_ = 0;
};

using Names = std::vector<std::string>;

TEST_CASE("an operation begun before the one it waits for is a fault until that is finished",
          "[review][build]") {
  Passes book;
  book.begin(kAThenB, "b");
  const Names fault{"gate-open: operation 'b' was begun, but the operation 'a' is not finished in this book"};
  CHECK(book.against(1) == fault);
  book.begin(kAThenB, "a");
  CHECK(book.against(2).empty());
  book.tick(1);
  CHECK(book.against(1) == fault);
  book.tick(2);
  CHECK(book.against(1).empty());
  CHECK(book.state().finished == Names{"a"});
  CHECK(book.state().open == Names{"b"});
}

TEST_CASE("trial and abandoned passes finish no operation", "[review][build]") {
  Passes book;
  book.begin(kAThenB, "a", true);
  book.tick(1);
  book.tick(2);
  book.begin(kAThenB, "a");
  book.tick(1);
  book.tick(2);
  book.abandon();
  CHECK(book.state().finished.empty());
  book.begin(kAThenB, "b");
  CHECK(book.against(3).size() == 1);
}

TEST_CASE("an operation whose own wait is open finishes nothing until that is accepted", "[review][build]") {
  Passes book;
  book.begin(kAThenB, "b");
  book.tick(1);
  CHECK(book.state().open == Names{"a", "b"});
  book.accept(1);
  CHECK(book.against(1).empty());
  CHECK(book.state().finished == Names{"b"});
}

TEST_CASE("builds that were changed into a ring between two passes come to an end", "[review][build]") {
  Passes book;
  book.begin(kAThenB, "b");
  book.tick(1);
  book.begin(kBThenA, "a");
  book.tick(1);
  book.tick(2);
  CHECK(book.against(1).size() == 1);
  CHECK(book.against(2).size() == 1);
  CHECK(book.state().finished.empty());
}

TEST_CASE("a pass of another build finishes nothing here", "[review][build]") {
  std::string other(kAThenB);
  other.replace(other.find("Pump"), 4, "Mill");
  Passes book;
  book.begin(other, "a");
  book.tick(1);
  book.tick(2);
  book.begin(kAThenB, "b");
  CHECK(book.against(2).size() == 1);
}

TEST_CASE("gates of a build are planned again from its text when their plan is lost", "[review][build]") {
  Passes book;
  book.begin(kAThenB, "a", false, false);
  book.tick(2);
  const std::vector<review::Pass> passes = book.read();
  REQUIRE(passes.size() == 1);
  CHECK(passes[0].plan.title == "Pump: a");
  REQUIRE(passes[0].plan.steps.size() == 2);
  CHECK(passes[0].plan.steps[1].text == "two");
  CHECK(review::Progress(passes[0]).due()->step == 1);
}

TEST_CASE("what the book keeps of a build is all of it in an order that can be done", "[review][build]") {
  const schedule::Build build =
      schedule::read_build(std::make_shared<const text::Source>("pump.yaml", kBThenA));
  const review::BuildPart part = review::build_part(build, build.operations[0], "0a1b");
  CHECK(part.build.title == "Pump");
  CHECK(part.build.file == "pump.yaml");
  CHECK(part.build.sha256 == "0a1b");
  CHECK(part.operation == "a");
  CHECK(part.build.steps == 2);
  REQUIRE(part.build.operations.size() == 2);
  CHECK(part.build.operations[0].name == "b");
  CHECK(part.build.operations[1].name == "a");
  CHECK(part.build.operations[1].after == Names{"b"});
}

}  // namespace
