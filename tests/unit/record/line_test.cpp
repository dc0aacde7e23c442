#include "tests/support/catch.h"
#include "tests/unit/record/books.h"

#include <clampbook/record/line.h>
#include <clampbook/record/seal.h>

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>
#include <stdexcept>

using namespace clampbook;
using namespace clampbook::books;
using record::Draft;
using record::Event;
using units::Dimension;

namespace {

const record::Place kPlace{2, 14, 4, "C1"};

// One of each kind, with every member that it can have.
std::vector<Draft> one_of_each() {
  record::Begun begun{2, "Cover", "cover.yaml", "0a"};
  begun.trial = true;
  begun.only = "1-4";
  begun.program = "test";
  begun.schedule = "title: Cover\n";
  begun.tools = "format: tool list 1\n";
  begun.operation = "cover";
  begun.build = record::Build{"Pump", "pump.yaml", "0b", {{"base", {}}, {"cover", {"base"}}}, 12};
  record::Remarks all{"k1", "00ff", "small", "Maren", "warm", "it slipped"};
  return {
      {kNow,
       record::Reading{kPlace, record::Quantity{Dimension::angle, 60},
                       record::Quantity{Dimension::torque, 71}, "60deg", "71Nm", true, 3, 2},
       all},
      {kNow, record::Tick{kPlace, 5}},
      {kNow, record::Count{kPlace, 4.0, "4", 5}},
      {kNow, record::Measure{kPlace, record::Quantity{Dimension::length, 0.1}, "0.1mm", 5}},
      {kNow, record::Measure{kPlace, record::Quantity{Dimension::ratio, 0.25}, "25 %"}},
      {kNow, record::Box(begun)},
      {kNow, record::Box(record::Planned{2, text::Json::object().set("title", "Cover").set("x", 1.5)})},
      {kNow, record::Void{2, 7}, {.because = "read on the neighbour"}},
      {kNow, record::Note{2}, {.note = "a draught"}},
      {kNow, record::Fitted{2, {"1", "2"}, 3}},
      {kNow, record::Removed{2, {"1"}}},
      {kNow, record::Unsure{kPlace}},
      {kNow, record::Accepted{2, 9}, {.because = "measured"}},
      {kNow, record::Abandoned{2}},
  };
}

Event read_whole(const std::string& bytes) {
  Event out;
  std::string after, why;
  REQUIRE(record::read_event(*text::parse_json(bytes), out, after, why));
  return out;
}

std::string line_of(const std::string& members) {
  return R"({"seq":4,"written":"2026-05-04T09:30:00.000+02:00","at":"2026-05-04T09:30:00.000+02:00",)" +
         members + "}";
}

}  // namespace

TEST_CASE("each kind of line reads back as it was written", "[record][line]") {
  const std::vector<Draft> drafts = one_of_each();
  const Folder folder;
  const std::string path = folder.file("b");
  record::BookFile(path, record::BookFile::Missing::create).append(drafts, kNow);
  const record::Book book = record::read_book(path);
  REQUIRE(book.events.size() == drafts.size());
  std::set<std::string_view> kinds;
  for (std::size_t i = 0; i < drafts.size(); ++i) {
    INFO(i);
    CHECK(book.events[i].line == drafts[i].line);
    CHECK(*book.events[i].remarks == drafts[i].remarks);
    CHECK(book.events[i].at == kNow);
    kinds.insert(book.events[i].kind());
  }
  CHECK(kinds.size() + 1 == std::variant_size<record::Line>::value);  // all but an unknown one
}

TEST_CASE("a line is found in its file by its offset and length", "[record][line]") {
  const Folder folder;
  const std::string path = folder.file("b");
  record::BookFile(path, record::BookFile::Missing::create).append(one_of_each(), kNow);
  const std::string bytes = content(path);
  record::BookLines lines(path);
  for (const Event& event : record::read_book(path).events) {
    const std::string line = bytes.substr(event.offset, event.length);
    CHECK(lines.of(event) == line);
    CHECK(record::verified_seal(line) == record::view(event.seal));
    CHECK(line.starts_with(record::open_line(event)));
  }
}

TEST_CASE("a member of another type than its kind has stays among the rest", "[record][line]") {
  const Event event = read_whole(line_of(
      R"("kind":"reading","pass":1,"step":"two","stage":9000000000,"bolt":"3","value_Nm":"30","colour":"red","by":7)"));
  const auto& reading = std::get<record::Reading>(event.line);
  CHECK(reading.at == record::Place{1, 0, 0, "3"});
  CHECK_FALSE(reading.value);
  CHECK_FALSE(event.remarks->by);
  std::vector<std::string> rest;
  for (const auto& [key, value] : event.remarks->rest) rest.push_back(key);
  CHECK(rest == std::vector<std::string>{"step", "stage", "value_Nm", "colour", "by"});
}

TEST_CASE("bolts that are no list of ids are not taken for bolts", "[record][line]") {
  const Event event = read_whole(line_of(R"("kind":"fitted","pass":1,"bolts":["1",2],"uses":1)"));
  CHECK(std::get<record::Fitted>(event.line).bolts.empty());
  CHECK(std::get<record::Fitted>(event.line).uses == 1);
  CHECK(event.remarks->rest.front().first == "bolts");
}

TEST_CASE("a kind of a newer program is kept with its members and never appended", "[record][line]") {
  const std::string bytes =
      line_of(R"("kind":"picture","pass":3,"file":"a.png","size":[1,2.5],"key":"k","by":"Maren")");
  const Event event = read_whole(bytes);
  const auto& unknown = std::get<record::Unknown>(event.line);
  CHECK(unknown.kind == "picture");
  CHECK(event.pass() == 3);
  CHECK(unknown.members.size() == 3);
  CHECK(event.remarks->by == "Maren");
  const Folder folder;
  record::BookFile file(folder.file("b"), record::BookFile::Missing::create);
  CHECK_THROWS_AS(file.append({{kNow, unknown}}, kNow), std::logic_error);
  CHECK(content(folder.file("b")).empty());
}

TEST_CASE("what can't be read back is not written", "[record][line]") {
  const Folder folder;
  record::BookFile file(folder.file("b"), record::BookFile::Missing::create);
  Draft bad = note("a \xff byte that is no text");
  CHECK_THROWS_AS(file.append({bad}, kNow), std::logic_error);
  CHECK(content(folder.file("b")).empty());
  CHECK(file.append({note("a good one")}, kNow) == 1);
}

TEST_CASE("the reason may stand before the name as older programs wrote it", "[record][line]") {
  const std::string old = line_of(R"("kind":"void","pass":1,"voids":3,"because":"a slip","by":"Maren")");
  CHECK(old.starts_with(record::open_line(read_whole(old))));
  const std::string now = line_of(R"("kind":"void","pass":1,"voids":3,"by":"Maren","because":"a slip")");
  CHECK(now.starts_with(record::open_line(read_whole(now))));
}

// Books of the first version, as its program wrote them in the recorded sessions
// (tests/data/books/README.md).
TEST_CASE("every line of the kept books is written as it was read", "[record][line][corpus]") {
  std::size_t lines = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(CLAMPBOOK_SOURCE_DIR "/tests/data/books/1.0")) {
    if (entry.path().extension() != ".book") continue;
    const std::string bytes = content(entry.path().string());
    if (bytes.find("clampbook book 1") == std::string::npos)
      continue;  // made up by a session: of a newer program
    for (const Event& event : record::parse_book(bytes, "kept").events) {
      INFO(entry.path().filename().string() << " line " << event.seq);
      const std::string line = bytes.substr(event.offset, event.length);
      const bool own = !std::holds_alternative<record::Unknown>(event.line) && event.remarks->rest.empty();
      if (!own) continue;  // lines that a session made up
      CHECK(line.substr(0, line.rfind(",\"after\":")) == record::open_line(event));
      ++lines;
    }
  }
  CHECK(lines > 450);
}
