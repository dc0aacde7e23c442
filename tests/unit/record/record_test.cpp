#include "tests/support/catch.h"
#include "tests/unit/record/books.h"

#include <clampbook/record/output_file.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <memory>

using namespace clampbook;
using namespace clampbook::books;
using record::Book;
using record::BookFile;
using record::parse_book;

namespace {

std::vector<std::string> notes(const Book& book) {
  std::vector<std::string> out;
  for (const auto& event : book.events) out.push_back(event.remarks->note.value_or("?"));
  return out;
}

}  // namespace

TEST_CASE("SHA-256 gives the digests of the standard", "[record][seal]") {
  // FIPS 180-4 examples, as published with the secure hash standard.
  REQUIRE(record::sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  REQUIRE(record::sha256("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  REQUIRE(record::sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
}

TEST_CASE("a seal holds for its bytes alone", "[record][seal]") {
  const std::string line = record::sealed("{\"a\":1");
  REQUIRE(record::verified_seal(line));
  REQUIRE(line.starts_with("{\"a\":1,\"seal\":\""));
  for (std::size_t i = 0; i < line.size(); ++i) {
    std::string changed = line;
    changed[i] = changed[i] == 'x' ? 'y' : 'x';
    INFO("byte " << i);
    REQUIRE_FALSE(record::verified_seal(changed));
  }
  REQUIRE_FALSE(record::verified_seal(line + " "));
  REQUIRE_FALSE(record::verified_seal(""));
}

TEST_CASE("times are RFC 3339 with an offset", "[record][timestamp]") {
  // Example from RFC 3339 section 5.8: both are the same moment.
  REQUIRE(*record::parse_timestamp("1996-12-19T16:39:57-08:00") ==
          *record::parse_timestamp("1996-12-20T00:39:57Z"));
  REQUIRE(record::parse_timestamp("1985-04-12T23:20:50.52Z")->milliseconds % 1000 == 520);
  REQUIRE(record::parse_timestamp("1970-01-01T00:00:00Z")->milliseconds == 0);
  REQUIRE(record::parse_timestamp("2000-02-29T00:00:00Z")->milliseconds == 951782400000);
  for (const char* wrong :
       {"2026-05-04", "2026-05-04T09:30:00", "2026-02-29T00:00:00Z", "2026-13-01T00:00:00Z",
        "2026-05-04T24:00:00Z", "2026-05-04T09:30Z", "2026-05-04T09:30:00+2:00", "2026-05-04T09:30:00.Z",
        "26-05-04T09:30:00Z", "2026-05-04T09:30:00Zx", "", "2026-05-04T09:60:00Z",
        "2026-05-04T09:30:00+24:00"}) {
    INFO(wrong);
    REQUIRE_FALSE(record::parse_timestamp(wrong));
  }
  for (const char* same :
       {"2026-05-04T09:30:00.123+02:00", "1969-12-31T23:59:59.999+00:00", "2100-03-01T00:00:00.000-11:30",
        "0001-01-01T00:00:00.000+00:00", "9999-12-31T23:59:59.000+00:00"})
    REQUIRE(record::to_string(*record::parse_timestamp(same)) == same);
}

TEST_CASE("a book is read as it was written", "[record][book]") {
  const std::string bytes = small_book();
  const Book book = parse_book(bytes, "b");
  REQUIRE(notes(book) == std::vector<std::string>{"one", "two", "three"});
  REQUIRE(book.damages.empty());
  REQUIRE(book.lines == 4);
  REQUIRE(book.events[2].seq == 3);
  REQUIRE(book.events[0].at == kNow);
  REQUIRE(bytes.find("{\"seq\":1,\"written\":\"2026-05-04T09:30:00.000+02:00\",\"at\":\"2026-05-04T09:30:00."
                     "000+02:00\",\"kind\":\"note\",\"note\":\"one\",\"after\":\"") != std::string::npos);
  REQUIRE(bytes.starts_with("{\"format\":\"clampbook book 1\",\"seq\":0,\"id\":\""));
}

TEST_CASE("every prefix of a book is a book and an append after it holds", "[record][book]") {
  const Folder folder;
  const std::string bytes = small_book(), path = folder.file("cut.book");
  std::size_t last = 0;
  for (std::size_t length = 0; length <= bytes.size(); ++length) {
    INFO("cut at " << length);
    const Book book = parse_book(bytes.substr(0, length), "b");
    REQUIRE(book.events.size() >= last);  // what was kept once stays
    last = book.events.size();
    put(path, bytes.substr(0, length));
    BookFile file(path, BookFile::Missing::create);
    file.append({note("after")}, kNow);
    const Book again = record::read_book(path);
    REQUIRE(again.events.size() == last + 1);
    REQUIRE(notes(again).back() == "after");
    for (const auto& damage : again.damages) REQUIRE(damage.torn);
  }
  REQUIRE(last == 3);
}

TEST_CASE("every flipped byte is found and named and costs no other line", "[record][book]") {
  const std::string bytes = small_book();
  std::int64_t line = 0;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    for (const int bit : {0x01, 0x04, 0x40}) {
      std::string flipped = bytes;
      flipped[i] = static_cast<char>(flipped[i] ^ bit);
      INFO("byte " << i << " bit " << bit);
      const Book book = parse_book(flipped, "b");
      REQUIRE_FALSE(book.damages.empty());
      REQUIRE(book.damages.front().seq == line);
      REQUIRE_FALSE(book.damages.front().torn);
      // A line end that is lost takes the line below with it; of the four lines the first is no event.
      const std::size_t lost = std::size_t{line > 0} + std::size_t{bytes[i] == '\n' && line < 3};
      REQUIRE(book.events.size() == 3 - lost);
      REQUIRE(book.lines >= 3);
    }
    if (bytes[i] == '\n') ++line;
  }
}

TEST_CASE("lines that are removed or exchanged or repeated are found", "[record][book]") {
  const std::string bytes = small_book();
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < bytes.size(); at = bytes.find('\n', at) + 1)
    lines.push_back(bytes.substr(at, bytes.find('\n', at) + 1 - at));
  REQUIRE(lines.size() == 4);
  const Book gap = parse_book(lines[0] + lines[2] + lines[3], "b");
  REQUIRE(gap.damages.size() == 1);
  REQUIRE(gap.damages[0].seq == 1);
  REQUIRE(notes(gap) == std::vector<std::string>{"two", "three"});
  const Book headless = parse_book(lines[1] + lines[2] + lines[3], "b");
  REQUIRE(headless.damages.size() == 1);
  REQUIRE(headless.events.size() == 3);
  REQUIRE_FALSE(parse_book(lines[0] + lines[2] + lines[1] + lines[3], "b").damages.empty());
  REQUIRE_FALSE(parse_book(lines[0] + lines[1] + lines[1] + lines[2] + lines[3], "b").damages.empty());
  REQUIRE_FALSE(parse_book(lines[0] + lines[1] + "\n" + lines[2] + lines[3], "b").damages.empty());
  // A last line that only lost its line feed counts.
  const Book whole = parse_book(bytes.substr(0, bytes.size() - 1), "b");
  REQUIRE(whole.damages.empty());
  REQUIRE(whole.open_end);
}

TEST_CASE("other files are not taken for books", "[record][book]") {
  const auto slug = [](const std::string& bytes) -> std::string {
    try {
      static_cast<void>(parse_book(bytes, "b"));
      return "";
    } catch (const InputError& e) {
      return e.diagnostics().front().slug;
    }
  };
  REQUIRE(slug("a shopping list\n") == "not-a-book");
  REQUIRE(slug(record::sealed("{\"format\":\"cake 1\"") + "\n") == "not-a-book");
  REQUIRE(slug(record::sealed("{\"format\":\"clampbook book 2\",\"seq\":0,\"id\":\"x\"") + "\n") ==
          "newer-format");
  REQUIRE(slug("").empty());
  REQUIRE(slug(std::string(1 << 20, '\0')) == "not-a-book");
}

TEST_CASE("a second writer waits for the first", "[record][book]") {
  const Folder folder;
  const std::string path = folder.file("b.book");
  auto first = std::make_unique<BookFile>(path, BookFile::Missing::create);
  first->append({note("one")}, kNow);
  REQUIRE(record::read_book(path).events.size() == 1);  // readers take no lock
  first.reset();
  BookFile second(path, BookFile::Missing::refuse);
  REQUIRE(second.book().events.size() == 1);
  REQUIRE(second.append({note("two")}, kNow) == 2);
}

TEST_CASE("places where no book can be are refused", "[record][book]") {
  const Folder folder;
  REQUIRE_THROWS_AS(BookFile(folder.file("no/such/folder.book"), BookFile::Missing::create), StoreError);
  REQUIRE_THROWS_AS(BookFile(folder.file("none.book"), BookFile::Missing::refuse), InputError);
  REQUIRE_THROWS_AS(BookFile(folder.file(""), BookFile::Missing::create), InputError);
  REQUIRE_THROWS_AS(BookFile("/dev/null", BookFile::Missing::create), InputError);
  REQUIRE_THROWS_AS(record::read_book(folder.file("")), InputError);
}

TEST_CASE("a new file is never written over", "[record]") {
  const Folder folder;
  record::write_output_file(folder.file("a"), "first", record::Existing::refuse);
  REQUIRE_THROWS_AS(record::write_output_file(folder.file("a"), "second", record::Existing::refuse),
                    StoreError);
  REQUIRE(content(folder.file("a")) == "first");
}

TEST_CASE("a file is replaced whole and a book never", "[record]") {
  const Folder folder;
  using record::Existing;
  record::write_output_file(folder.file("a"), "first", Existing::replace);
  record::write_output_file(folder.file("a"), "second", Existing::replace);
  REQUIRE(content(folder.file("a")) == "second");
  put(folder.file("b.book"), small_book());
  REQUIRE_THROWS_AS(record::write_output_file(folder.file("b.book"), "page", Existing::replace), StoreError);
  std::string damaged = small_book();
  damaged.replace(2, 6, "xxxxxx");  // its first line says no more what it is
  put(folder.file("c.book"), damaged);
  REQUIRE_THROWS_AS(record::write_output_file(folder.file("c.book"), "page", Existing::replace), StoreError);
}
