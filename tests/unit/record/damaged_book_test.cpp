#include "tests/support/catch.h"
#include "tests/support/schedules.h"
#include "tests/unit/record/books.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/review/finding.h>

#include <algorithm>

using namespace clampbook;
using namespace clampbook::books;
using record::Book;
using record::BookFile;
using record::Draft;
using record::parse_book;

namespace {

// Under the sanitizers each turn costs twenty times as much: a step without common factors with the lines'
// lengths.
#ifdef __SANITIZE_ADDRESS__
constexpr std::size_t kStep = 37;
#else
constexpr std::size_t kStep = 1;
#endif
constexpr std::size_t kAppendStep = 23 * kStep;
constexpr std::int64_t kEvents = 60;

// A book with a pass: `begun`, `planned`, and readings up to sixty events.
const std::string& whole_book() {
  static const std::string kBytes = [] {
    const std::string text = test::simple("  - {torque: 30 N·m}\n  - {angle: 60°}\n", 2);
    const schedule::Schedule schedule = test::schedule_from(text);
    record::Begun begun{1, schedule.title};
    begun.schedule = text;
    std::vector<Draft> events{
        {kNow, record::Box(begun)},
        {kNow, record::Box(record::Planned{1, plan::to_record(plan::make_plan(schedule, {}))})}};
    while (static_cast<std::int64_t>(events.size()) < kEvents)
      events.push_back(
          {kNow, record::Reading{{1, 1, 1, "1"}, record::Quantity{units::Dimension::torque, 30.5}}});
    const Folder folder;
    BookFile(folder.file("b"), BookFile::Missing::create).append(events, kNow);
    return content(folder.file("b"));
  }();
  return kBytes;
}

// What a check of the first pass says of the book: "altered-record 7". Nothing when no pass is left.
std::vector<std::string> altered(const Book& book) {
  std::vector<std::string> out;
  const std::vector<review::Pass> passes = review::read_passes(book);
  if (passes.empty()) return out;
  for (const review::Finding& finding :
       review::find_findings(book, passes, passes.front(), review::Until::so_far))
    if (finding.slug == "altered-record" || finding.slug == "torn-line")
      out.push_back(finding.slug + " " + std::to_string(*finding.seq));
  return out;
}

// How many bytes were flipped, one at a time.
std::size_t flip_every_byte_from(std::size_t first) {
  const std::string& bytes = whole_book();
  std::string flipped = bytes;
  std::int64_t line = std::count(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(first), '\n');
  std::size_t counted = first, turns = 0;
  for (std::size_t i = first; i < bytes.size(); i += 2 * kStep) {
    line += std::count(bytes.begin() + static_cast<std::ptrdiff_t>(counted),
                       bytes.begin() + static_cast<std::ptrdiff_t>(i), '\n');
    counted = i;
    flipped[i] = static_cast<char>(flipped[i] ^ (1 << (i % 8)));
    const Book book = parse_book(flipped, "b");
    // A line feed that is lost takes the line below with it; the first line is no event.
    const std::int64_t lost = std::int64_t{line > 0} + std::int64_t{bytes[i] == '\n' && line < kEvents};
    const bool named =
        book.damages.size() == 1 + std::size_t{flipped[i] == '\n'} && book.damages[0].seq == line;
    const std::vector<std::string> said = altered(book);
    const bool passes_left = line != 1 || bytes[i] != '\n';  // `begun` and `planned` in one
    const bool told = !passes_left || std::find(said.begin(), said.end(),
                                                "altered-record " + std::to_string(line)) != said.end();
    if (!named || !told || static_cast<std::int64_t>(book.events.size()) != kEvents - lost) {
      INFO("byte " << i << " of line " << line << ", events " << book.events.size());
      REQUIRE(named);
      REQUIRE(told);
      REQUIRE(static_cast<std::int64_t>(book.events.size()) == kEvents - lost);
    }
    flipped[i] = bytes[i];
    ++turns;
  }
  return turns;
}

}  // namespace

TEST_CASE("every even byte of a book flipped is an altered record and costs its line alone",
          "[record][damage]") {
  REQUIRE(parse_book(whole_book(), "b").events.size() == kEvents);
  REQUIRE(altered(parse_book(whole_book(), "b")).empty());
  REQUIRE(flip_every_byte_from(0) >= whole_book().size() / (2 * kStep));
}

TEST_CASE("every odd byte of a book flipped is an altered record and costs its line alone",
          "[record][damage]") {
  REQUIRE(flip_every_byte_from(1) >= whole_book().size() / (2 * kStep));
}

TEST_CASE("a book cut at every length keeps its whole lines and can be continued", "[record][damage]") {
  const std::string& bytes = whole_book();
  const Folder folder("/dev/shm");
  const std::string path = folder.file("cut.book");
  for (std::size_t length = 0; length <= bytes.size(); length += kStep) {
    const std::string cut = bytes.substr(0, length);
    const Book book = parse_book(cut, "b");
    const bool ended = length == 0 || bytes[length - 1] == '\n',
               whole = ended || bytes.compare(length, 1, "\n") == 0;
    const std::int64_t feeds = std::count(cut.begin(), cut.end(), '\n');
    const std::int64_t lines = feeds + std::int64_t{!ended && whole};
    const std::vector<std::string> said = altered(book);
    const std::vector<std::string> wanted =
        whole || feeds < 2 ? std::vector<std::string>{} : std::vector{"torn-line " + std::to_string(feeds)};
    INFO("cut at " << length);
    REQUIRE(static_cast<std::int64_t>(book.events.size()) == std::max(lines - 1, std::int64_t{0}));
    REQUIRE(book.damages.size() == std::size_t{!whole});
    REQUIRE(said == wanted);
    if (length % kAppendStep != 0) continue;
    put(path, cut);
    BookFile(path, BookFile::Missing::create).append({note("after")}, kNow);
    const Book again = record::read_book(path);
    REQUIRE(again.events.size() == book.events.size() + 1);
    REQUIRE(again.events.back().remarks->note == "after");
    REQUIRE(altered(again) == wanted);
  }
}
