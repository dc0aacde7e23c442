#include <clampbook/schedule/build.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include "tests/support/catch.h"
#include "tests/unit/record/books.h"

#include <memory>
#include <string>
#include <vector>

namespace {

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using schedule::Build;
using schedule::Operation;

const std::string kShipped = std::string(CLAMPBOOK_SOURCE_DIR) + "/schedules/";

// A build that lies beside the shipped schedules.
Build build_from(const std::string& operations) {
  return schedule::read_build(std::make_shared<const text::Source>(
      kShipped + "test.yaml",
      "format: build 1\ntitle: Test\nmachine: M\nnotice: Invented\noperations:\n" + operations));
}

std::vector<text::Diagnostic> problems_of(const std::string& operations) {
  try {
    static_cast<void>(build_from(operations));
    return {};
  } catch (const InputError& e) {
    return e.diagnostics();
  }
}

std::vector<std::string> names_in_order(const Build& build) {
  std::vector<std::string> out;
  for (const std::size_t i : build.in_order()) out.push_back(build.operations[i].name);
  return out;
}

TEST_CASE("every key of a build reaches the model", "[schedule][build]") {
  const Build build = build_from(
      "  - {name: clearances, stages: [{do: Wipe}, {measure: gap, to: 0.1 mm, each: [a, b]}]}\n"
      "  - {name: casing, schedule: split-crankcase.yaml, after: clearances}\n"
      "  - {name: one, schedule: connecting-rods.yaml, only: cap 2, after: [clearances, casing]}\n"
      "  - {name: two, schedule: connecting-rods.yaml, only: [2B, 1A]}\n");
  CHECK(build.title == "Test");
  CHECK(build.machine == "M");
  CHECK(build.notice == "Invented");
  REQUIRE(build.operations.size() == 4);
  const Operation& gates = build.operations[0];
  CHECK(gates.name == "clearances");
  CHECK(gates.has_own_gates());
  CHECK(gates.schedule.title == "Test: clearances");
  CHECK(gates.schedule.notice == "Invented");
  CHECK(gates.schedule.bolts.empty());
  REQUIRE(gates.schedule.stages.size() == 2);
  CHECK(gates.schedule.stages[1].each == std::vector<std::string>{"a", "b"});
  CHECK(gates.after.empty());
  const Operation& casing = build.operations[1];
  CHECK(casing.file == "split-crankcase.yaml");
  CHECK(casing.schedule.bolts.size() == 10);
  CHECK(casing.after == std::vector<std::string>{"clearances"});
  CHECK(casing.only.empty());
  CHECK(build.operations[2].only_ids() == std::vector<std::string>{"2A", "2B"});
  CHECK(build.operations[2].after == std::vector<std::string>{"clearances", "casing"});
  CHECK(build.operations[3].only_ids() == std::vector<std::string>{"1A", "2B"});
  CHECK(build.find("two") == &build.operations[3]);
  CHECK(build.find("three") == nullptr);
}

TEST_CASE("operations are put in an order in which they can be done", "[schedule][build]") {
  const std::string work = "stages: [{do: Wipe}]";
  const Build build = build_from("  - {name: a, after: [c, d], " + work + "}\n  - {name: b, " + work +
                                 "}\n  - {name: c, after: b, " + work + "}\n  - {name: d, " + work + "}\n");
  CHECK(names_in_order(build) == std::vector<std::string>{"b", "c", "d", "a"});
}

TEST_CASE("an operation named twice in a file of many problems is told once", "[schedule][build]") {
  const auto problems = problems_of(
      "  - {name: a, schedule: none.yaml}\n"
      "  - {name: b, schedule: none.yaml, after: x}\n"
      "  - {name: a, stages: [{do: Wipe}]}\n");
  std::vector<std::string> slugs;
  for (const auto& problem : problems) slugs.push_back(problem.slug);
  CHECK(slugs == std::vector<std::string>{"unreadable-file", "unknown-operation", "duplicate-id"});
}

TEST_CASE("problems of several files keep together and the rest is counted", "[schedule][build]") {
  const books::Folder folder;
  std::string bad = "format: fastener schedule 1\ntitle: T\n";
  for (int i = 0; i < 30; ++i) bad += "wrong" + std::to_string(i) + ": 1\n";
  books::put(folder.file("bad.yaml"), bad);
  try {
    static_cast<void>(schedule::read_build(std::make_shared<const text::Source>(
        folder.file("b.yaml"),
        "format: build 1\ntitle: T\nodd: 1\noperations: [{name: a, schedule: bad.yaml}]\n")));
    FAIL("it was read");
  } catch (const InputError& e) {
    REQUIRE(e.diagnostics().size() == 20);
    // 30 wrong keys, three missing ones (fasteners, bolts, stages), and the wrong key of the build.
    CHECK(e.more() == 14);
    CHECK(e.diagnostics()[0].at->source->name() == folder.file("b.yaml"));
    CHECK(e.diagnostics()[1].at->source->name() == folder.file("bad.yaml"));
  }
}

TEST_CASE("gates of a build are read from its text alone", "[schedule][build]") {
  const auto source = std::make_shared<const text::Source>(
      "/nowhere/b.yaml",
      "format: build 1\ntitle: T\noperations:\n"
      "  - {name: casing, schedule: missing.yaml, only: [1]}\n"
      "  - {name: clearances, stages: [{do: Wipe}, {count: dowels, expect: 4}], after: casing}\n");
  CHECK(schedule::read_own_gates(source, "clearances").stages.size() == 2);
  CHECK_THROWS_AS(schedule::read_own_gates(source, "casing"), InputError);
  CHECK_THROWS_AS(schedule::read_own_gates(source, "rods"), InputError);
}

TEST_CASE("a build is told by its first key", "[schedule][build]") {
  CHECK(schedule::is_build("format: build 1\n"));
  CHECK(schedule::is_build("\xEF\xBB\xBF# a note\r\n\r\nformat:   'build 2'\r\n"));
  CHECK(schedule::is_build("format: build 1"));
  CHECK(schedule::is_build("---\n{\"format\": \"build 1\", \"title\": \"Pump\"}\n"));
  CHECK(schedule::is_build("format:\n  build 1\n"));
  CHECK_FALSE(schedule::is_build("format: fastener schedule 1\n"));
  CHECK_FALSE(schedule::is_build("title: build 1\nformat: build 1\n"));
  CHECK_FALSE(schedule::is_build("format:"));
  CHECK_FALSE(schedule::is_build("# format: build 1"));
  CHECK_FALSE(schedule::is_build(""));
}

}  // namespace
