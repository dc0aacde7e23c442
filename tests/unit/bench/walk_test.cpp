#include "tests/support/catch.h"
#include "tests/unit/bench/benches.h"

#include <fmt/format.h>

#include <algorithm>
#include <random>

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using bench::Asked;
using bench::LineIn;
using bench::Outcome;
using test::Bench;
using test::of_kind;

namespace {

const std::string kStages =
    "  - {do: Wipe the face}\n"
    "  - {torque: 30 N·m}\n"
    "  - {angle: 60°, final_torque: 40..120 N·m}\n"
    "  - {count: dowels, expect: 2}\n"
    "  - {measure: gap, below: 0.1 mm}\n";

std::string two_bolts() {
  return test::simple(kStages, 2);
}

// What brings the walk, fresh at the first torque step, to a question.
void ask(Bench& b, Asked question) {
  static_cast<void>(b.start());
  static_cast<void>(b.type("y"));  // the gate
  REQUIRE(b.walk.asked() == Asked::stage);
  if (question == Asked::stage) return;
  static_cast<void>(b.type("y"));
  REQUIRE(b.walk.asked() == Asked::nothing);
  if (question == Asked::nothing) return;
  if (question == Asked::keep) static_cast<void>(b.type("50 N·m"));
  if (question == Asked::go_on) static_cast<void>(b.type("20 N·m"));
  if (question == Asked::repeat) {
    b.clock().step(100);
    static_cast<void>(b.type("30 N·m"));
    static_cast<void>(b.type("30 N·m"));
  }
  if (question == Asked::companion) {
    static_cast<void>(b.type("30 N·m"));
    static_cast<void>(b.type("30.1 N·m"));
    static_cast<void>(b.type("y"));
    static_cast<void>(b.type("60"));
  }
}

constexpr std::array kQuestions{Asked::nothing, Asked::stage,  Asked::keep,
                                Asked::go_on,   Asked::repeat, Asked::companion};
const std::vector<std::string> kLines{"",     "y",          "n",        "b",  "b 1",   "b 9",
                                      "s",    "u",          "u slip",   "d",  "d 1",   "n a note",
                                      "?",    "30 N·m",     "22 ft-lb", "61", "60deg", "1 2",
                                      "20+5", "30 N·m 60°", "nonsense", "30", "\xff",  "0.05 mm"};

bool is_line_heard(const Outcome& outcome) {
  return !outcome.items.empty() || outcome.more;
}

}  // namespace

TEST_CASE("every line at every question is heard and leaves a walk that goes on", "[bench][walk]") {
  for (const Asked question : kQuestions)
    for (const std::string& line : kLines) {
      INFO(static_cast<int>(question) << " '" << line << "'");
      Bench b(two_bolts());
      ask(b, question);
      REQUIRE(b.walk.asked() == question);
      const std::size_t before = b.book.book().events.size();
      const Outcome outcome = b.type(line);
      // At a question an empty line asks it again, which is the face's.
      CHECK((is_line_heard(outcome) || (line.empty() && question != Asked::nothing)));
      CHECK_FALSE(outcome.request);
      CHECK(outcome.signal == bench::Signal::go_on);
      CHECK(b.due() != 0);
      // At most one line of the book for each line that came.
      CHECK(b.book.book().events.size() <= before + 1);
    }
}

TEST_CASE("a question that blocks lets only its answers through", "[bench][walk]") {
  for (const Asked question : {Asked::stage, Asked::keep, Asked::repeat}) {
    Bench b(two_bolts());
    ask(b, question);
    const std::size_t before = b.book.book().events.size();
    const Outcome outcome = b.type("30 N·m");
    CHECK(b.book.book().events.size() == before);
    REQUIRE(of_kind<bench::Unread>(outcome).size() == 1);
    CHECK(of_kind<bench::Unread>(outcome)[0].reason == "unanswered");
    CHECK(b.walk.asked() == question);
  }
}

// It was filed at the gate behind the last bolt, as a bolt's reading without a bolt.
TEST_CASE("a figure at the question for the last final torque is not filed at the gate behind it",
          "[bench][walk]") {
  Bench b(two_bolts());
  ask(b, Asked::companion);
  static_cast<void>(b.type("70 N·m"));
  static_cast<void>(b.type("60"));
  REQUIRE(b.walk.asked() == Asked::companion);
  const std::size_t before = b.book.book().events.size();
  const Outcome outcome = b.type("61");
  CHECK(b.book.book().events.size() == before);
  REQUIRE(of_kind<bench::Unread>(outcome).size() == 1);
  CHECK(of_kind<bench::Unread>(outcome)[0].reason == "not-due");
  REQUIRE(of_kind<bench::Due>(outcome).size() == 1);
  CHECK(of_kind<bench::Due>(outcome)[0].step.kind == plan::StageKind::count);
}

TEST_CASE("a wrench's line that meets a question waits and is filed after the answer", "[bench][walk]") {
  Bench b(two_bolts());
  ask(b, Asked::keep);  // 50 N·m at bolt 1
  const std::size_t before = b.book.book().events.size();
  const Outcome waits = bench::turn(b.book, b.walk, LineIn{LineIn::From::wrench, "30.2 N·m"});
  REQUIRE(of_kind<bench::Remark>(waits).size() == 1);
  CHECK(of_kind<bench::Remark>(waits)[0].about == bench::Remark::About::waits_for_answer);
  CHECK(b.book.book().events.size() == before);
  const Outcome kept = b.type("y");
  REQUIRE(kept.more);
  const Outcome filed = bench::go_on(b.book, b.walk);
  REQUIRE(of_kind<bench::Recorded>(filed).size() == 1);
  CHECK(b.book.book().events.size() == before + 1);
  CHECK(record::place_of(b.book.book().events.back().line)->bolt == "2");
}

TEST_CASE("a line that waits when its bolt's reading is taken back is told and not filed", "[bench][walk]") {
  Bench b(two_bolts());
  ask(b, Asked::keep);
  static_cast<void>(bench::turn(b.book, b.walk, LineIn{LineIn::From::wrench, "30.2 N·m"}));
  const Outcome back = b.type("n");
  REQUIRE(of_kind<bench::Unread>(back).size() == 1);
  CHECK(of_kind<bench::Unread>(back)[0].given == "30.2 N·m");
  CHECK_FALSE(back.more);
}

TEST_CASE("what another writer does to the due step keeps a figure from being filed", "[bench][walk]") {
  Bench b(two_bolts());
  ask(b, Asked::nothing);
  b.book.release();
  {
    bench::OpenBook other(b.path(), b.clock());
    bench::EntryRequest entry;
    entry.bolt = bench::Word{"BOLT", "1"};
    entry.value = bench::Word{"VALUE", "30 N·m"};
    static_cast<void>(other.file(entry));
  }
  const Outcome outcome = b.type("29.9 N·m");
  REQUIRE(of_kind<bench::Unread>(outcome).size() == 1);
  CHECK(of_kind<bench::Unread>(outcome)[0].reason == "changed-elsewhere");
  CHECK(b.due() == 3);  // bolt 2
}

TEST_CASE("an entry that names its step is filed there whatever happened meanwhile", "[bench][entry]") {
  Bench b(two_bolts());
  bench::EntryRequest entry;
  entry.bolt = bench::Word{"BOLT", "1"};
  entry.value = bench::Word{"VALUE", "30 N·m"};
  entry.step = 2;
  static_cast<void>(b.book.file(entry));
  const bench::Answer again = b.book.file(entry);  // its bolt is due at step 4 now
  CHECK(record::place_of(again.event->line)->step == 2);
  CHECK(again.findings.front().slug == "doubled");
  entry.step = 99;
  CHECK_THROWS_AS(b.book.file(entry), InputError);
}

TEST_CASE("an abandoned pass ends the walk", "[bench][walk]") {
  Bench b(two_bolts());
  ask(b, Asked::nothing);
  b.book.release();
  {
    bench::OpenBook other(b.path(), b.clock());
    bench::AmendRequest abandon;
    abandon.act = bench::AmendRequest::Act::abandon;
    static_cast<void>(other.file(abandon));
  }
  const Outcome outcome = b.type("30 N·m");
  CHECK(outcome.signal == bench::Signal::abandoned);
  CHECK(of_kind<bench::Unread>(outcome).size() == 1);
  REQUIRE(of_kind<bench::Stopped>(outcome).size() == 1);
}

TEST_CASE("the end and an interruption leave the pass open", "[bench][walk]") {
  for (const auto& [notice, signal] : {std::pair{bench::Notice::ended, bench::Signal::ended},
                                       std::pair{bench::Notice::interrupted, bench::Signal::interrupted}}) {
    Bench b(two_bolts());
    ask(b, Asked::keep);
    const Outcome outcome = bench::turn(b.book, b.walk, notice);
    CHECK(outcome.signal == signal);
    CHECK(of_kind<bench::Stopped>(outcome)[0].step == 2);
  }
}

// A walk is told from the book: one that is made anew anywhere goes on where the other stood.
TEST_CASE("a walk made anew at each line of a pass says the same due", "[bench][walk]") {
  Bench b(two_bolts());
  static_cast<void>(b.start());
  for (const char* line :
       {"y", "y", "30 N·m", "30.2 N·m", "y", "60", "70 N·m", "61", "71 N·m", "2", "0.05 mm"}) {
    const Outcome outcome = b.type(line);
    if (outcome.signal != bench::Signal::go_on) break;
    if (b.walk.asked() == Asked::companion) continue;  // a final torque may still come; a new walk goes on
    bench::Walk anew(b.walk.pass(), Bench::somebody());
    b.book.resume();
    static_cast<void>(bench::start(b.book, anew));
    INFO("after '" << line << "'");
    const plan::Step* step = anew.step(b.book.view(b.walk.pass()));
    CHECK((step != nullptr ? step->step : 0) == b.due());
  }
  CHECK(review::Progress(b.book.pass(1)).complete());
}

TEST_CASE("random lines always come to an end with nothing lost in silence", "[bench][walk][property]") {
  std::mt19937 random(20261128);
  for (int pass = 0; pass < 60; ++pass) {
    Bench b(two_bolts());
    Outcome outcome = b.start();
    std::size_t turns = 0;
    while (outcome.signal == bench::Signal::go_on && turns < 300) {
      ++turns;
      const std::size_t before = b.book.book().events.size();
      // The longer it lasts, the more the answers are those that lead to the end.
      const plan::Step* step = b.walk.step(b.book.view(b.walk.pass()));
      const bool help = random() % 100 < turns;
      std::string line = kLines[random() % kLines.size()];
      if (help) {
        line = b.walk.asked() != Asked::nothing         ? "y"
               : step->kind == plan::StageKind::torque  ? fmt::format("30.{} N·m", turns)
               : step->kind == plan::StageKind::angle   ? fmt::format("60.{}", turns)
               : step->kind == plan::StageKind::count   ? "2"
               : step->kind == plan::StageKind::measure ? "0.05 mm"
                                                        : "y";
      }
      const bool asked_again = line.empty() && b.walk.asked() != Asked::nothing;
      outcome = b.type(line);
      CHECK((is_line_heard(outcome) || asked_again));
      CHECK(b.book.book().events.size() <= before + 1);
      while (outcome.signal == bench::Signal::go_on && outcome.more) outcome = bench::go_on(b.book, b.walk);
    }
    INFO("pass " << pass);
    CHECK(outcome.signal == bench::Signal::finished);
  }
}
