#include <clampbook/text/diagnostic.h>
#include <clampbook/text/json.h>
#include <clampbook/text/source.h>

#include "tests/support/catch.h"

#include <memory>

using namespace clampbook::text;

namespace {

SourcePtr file(std::string text) {
  return std::make_shared<const Source>("flange.yaml", std::move(text));
}

Diagnostic at(const SourcePtr& source, std::string_view marked) {
  return {.slug = "missing-unit",
          .message = "torque has no unit",
          .at = Location{source, source->text().find(marked), marked.size()}};
}

}  // namespace

TEST_CASE("places are counted as editors count them", "[text][source]") {
  const Source source("a", "one\r\nzwölf x\n\nend");
  CHECK(source.place(0).line == 1);
  CHECK(source.place(0).column == 1);
  const Place x = source.place(source.text().find('x'));
  CHECK(x.line == 2);
  CHECK(x.column == 7);
  CHECK(source.line_at(1) == "one");
  CHECK(source.line_at(source.text().find('x')) == "zwölf x");
  CHECK(source.line_at(source.text().find("\n\n") + 1).empty());
  CHECK(source.place(1000).line == 4);
  CHECK(source.place(1000).column == 4);
  CHECK(source.line_at(1000) == "end");
  CHECK(Source("empty", "").place(0).line == 1);
}

TEST_CASE("a line cut from a stream keeps its number", "[text][source]") {
  const Source source("standard input", "30 Nmx", Source::Kind::file, 712);
  CHECK(source.place(3).line == 712);
  CHECK(source.place(3).column == 4);
}

TEST_CASE("a diagnostic shows the line and a caret", "[text][diagnostic]") {
  Diagnostic d = at(file("title: x\nstages:\n  torque: 85\n"), "85");
  d.help = "put the unit after the number, for example: 85 N·m";
  CHECK(render(d) ==
        "flange.yaml:3:11: error: torque has no unit [missing-unit]\n"
        "    3 |   torque: 85\n"
        "      |           ^^\n"
        "   help: put the unit after the number, for example: 85 N·m\n");
}

TEST_CASE("the caret stands under its word behind accents and wide letters", "[text][diagnostic]") {
  CHECK(render(at(file("é·°: 85 N\n"), "85")) ==
        "flange.yaml:1:6: error: torque has no unit [missing-unit]\n"
        "    1 | é·°: 85 N\n"
        "      |      ^^\n");
  CHECK(render(at(file("漢字: 85\n"), "85")) ==
        "flange.yaml:1:5: error: torque has no unit [missing-unit]\n"
        "    1 | 漢字: 85\n"
        "      |       ^^\n");
  CHECK(render(at(file("e\u0301: 85\n"), "85")) ==
        "flange.yaml:1:5: error: torque has no unit [missing-unit]\n"
        "    1 | e\u0301: 85\n"
        "      |    ^^\n");
  CHECK(render(at(file("a: ö·ö\n"), "ö·ö")) ==
        "flange.yaml:1:4: error: torque has no unit [missing-unit]\n"
        "    1 | a: ö·ö\n"
        "      |    ^^^\n");
}

TEST_CASE("tabs and control characters do not move the caret", "[text][diagnostic]") {
  CHECK(render(at(file("\ta\t85\n"), "85")) ==
        "flange.yaml:1:4: error: torque has no unit [missing-unit]\n"
        "    1 |  a 85\n"
        "      |    ^^\n");
  CHECK(render(at(file("\x1B[2J 85\n"), "85")) ==
        "flange.yaml:1:6: error: torque has no unit [missing-unit]\n"
        "    1 | \uFFFD[2J 85\n"
        "      |      ^^\n");
}

TEST_CASE("of a very long line the part around the caret is shown", "[text][diagnostic]") {
  const std::string shown = render(at(file(std::string(5000, 'a') + "85" + std::string(5000, 'b')), "85"));
  CHECK(shown ==
        "flange.yaml:1:5001: error: torque has no unit [missing-unit]\n"
        "    1 | ..." +
            std::string(60, 'a') + "85" + std::string(38, 'b') +
            "...\n"
            "      | " +
            std::string(63, ' ') + "^^\n");
}

TEST_CASE("an argument is shown with its name and has no place", "[text][diagnostic]") {
  const auto source = std::make_shared<const Source>("VALUE", "1,5 N·m", Source::Kind::argument);
  const Diagnostic d{.slug = "decimal-comma", .message = "a comma", .at = Location{source, 0, 3}};
  CHECK(render(d) ==
        "error: a comma [decimal-comma]\n"
        "  VALUE: 1,5 N·m\n"
        "         ^^^\n");
  CHECK(to_json(d).find("file")->is_null());
}

TEST_CASE("a mark at the end of a file still has a caret", "[text][diagnostic]") {
  const SourcePtr source = file("a: ");
  CHECK(render({.slug = "syntax", .message = "the file ends early", .at = Location{source, 3, 0}}) ==
        "flange.yaml:1:4: error: the file ends early [syntax]\n"
        "    1 | a: \n"
        "      |    ^\n");
  CHECK(
      render({.slug = "syntax", .message = "past it", .at = Location{source, 99, 9}}).ends_with("|    ^\n"));
}

TEST_CASE("a duplicate shows both places", "[text][diagnostic]") {
  const SourcePtr source = file("id: 1\nid: 2\n");
  const Diagnostic d{.slug = "duplicate-key",
                     .message = "id is given twice",
                     .at = Location{source, 6, 2},
                     .also = Location{source, 0, 2}};
  CHECK(render(d) ==
        "flange.yaml:2:1: error: id is given twice [duplicate-key]\n"
        "    2 | id: 2\n"
        "      | ^^\n"
        "   flange.yaml:1:1: first given here\n"
        "    1 | id: 1\n"
        "      | ^^\n");
  CHECK(
      to_json(d).dump() ==
      R"({"slug":"duplicate-key","text":"id is given twice","file":"flange.yaml","line":2,"column":1,"help":null,)"
      R"("also":{"file":"flange.yaml","line":1,"column":1}})");
}

TEST_CASE("without a place the file is named", "[text][diagnostic]") {
  CHECK(render({.slug = "unreadable-file", .message = "no such file", .file = "a.yaml"}) ==
        "a.yaml: error: no such file [unreadable-file]\n");
}

TEST_CASE("diagnostics come in file order and the twenty first are kept", "[text][diagnostic]") {
  const SourcePtr source = file(std::string(100, 'x'));
  Diagnostics all;
  for (std::size_t i = 0; i < 25; ++i)
    all.add({.slug = "syntax", .message = "m", .at = Location{source, 99 - i, 1}});
  std::size_t more = 0;
  const std::vector<Diagnostic> kept = all.take(more);
  CHECK(kept.size() == 20);
  CHECK(more == 5);
  CHECK(kept.front().at->offset == 75);
  CHECK(kept.back().at->offset == 94);
  CHECK(all.empty());
}
