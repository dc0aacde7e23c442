#include "tests/support/catch.h"
#include "tests/unit/record/books.h"

#include <clampbook/record/seal.h>
#include <clampbook/record/torn.h>

using namespace clampbook;
using namespace clampbook::books;
using record::Book;
using record::BookFile;
using record::parse_book;

namespace {

std::string last_line(const std::string& bytes) {
  const std::size_t start = bytes.rfind('\n', bytes.size() - 2) + 1;
  return bytes.substr(start, bytes.size() - 1 - start);
}

// What an append adds to the bytes of a book.
std::string appended(const Folder& folder, const std::string& bytes, const std::string& text) {
  const std::string path = folder.file("append.book");
  put(path, bytes);
  BookFile file(path, BookFile::Missing::create);
  file.append({note(text)}, kNow);
  return content(path).substr(bytes.size());
}

std::string only_torn(const Book& book) {
  std::string out;
  for (const auto& damage : book.damages) out += damage.torn ? "" : damage.what;
  return out;
}

}  // namespace

TEST_CASE("every front of a line can be torn and no whole line can", "[record][torn]") {
  const std::string bytes = small_book(), first = bytes.substr(0, bytes.find('\n'));
  for (const std::string& line : {first, last_line(bytes)}) {
    for (std::size_t length = 1; length < line.size(); ++length) {
      INFO(line.substr(0, length));
      REQUIRE(record::is_torn(line.substr(0, length)));
      REQUIRE(record::is_torn(line.substr(0, length) + std::string(4096 - length, '\0')));
    }
    REQUIRE_FALSE(record::is_torn(line));
  }
  REQUIRE(record::is_torn(std::string(100, '\0')));
  for (const char* other : {"", "x", "[", "a shopping list"}) REQUIRE_FALSE(record::is_torn(other));
}

TEST_CASE("a whole line with one changed byte is never taken for a torn one", "[record][torn]") {
  const std::string line = last_line(small_book());
  for (std::size_t i = 0; i < line.size(); ++i) {
    for (int byte = 0; byte < 256; ++byte) {
      std::string changed = line;
      if (static_cast<unsigned char>(line[i]) == byte) continue;
      changed[i] = static_cast<char>(byte);
      INFO("byte " << i << " becomes " << byte);
      REQUIRE_FALSE(record::is_torn(changed));
      REQUIRE_FALSE(record::is_torn(changed + "x"));  // its line feed was changed too
      REQUIRE_FALSE(record::is_torn(changed + "{\"seq\":4,\"written\":\"2026"));
    }
  }
  REQUIRE_FALSE(record::is_torn(line + "x{\"seq\":4,\"at\":\"x\",\"after\":\"" + record::seal_of("") +
                                "\",\"seal\":\"0"));
}

TEST_CASE("appends that are torn in a row are torn lines and alter nothing", "[record][torn]") {
  const Folder folder;
  const std::string bytes = small_book();
  const std::string first = appended(folder, bytes, "never kept");
  for (std::size_t one = 1; one < first.size() - 1; one += 13) {
    const std::string once = bytes + first.substr(0, one);
    const std::string second = appended(folder, once, "nor this");
    REQUIRE(second.starts_with("\n{\"seq\":5,"));
    for (std::size_t two = 1; two < second.size() - 1; two += 17) {
      INFO("cut at " << one << " and at " << two);
      const std::string twice = once + second.substr(0, two);
      REQUIRE(parse_book(twice, "b").torn == one + (two > 1 ? two : 0));
      const std::string third = appended(folder, twice, "after");
      const Book book = parse_book(twice + third, "b");
      REQUIRE(only_torn(book).empty());
      REQUIRE(book.events.size() == 4);
      REQUIRE(book.damages.size() == (two > 1 ? 2U : 1U));
      REQUIRE(book.events.back().remarks->note == "after");
      REQUIRE(book.events.back().seq == (two > 1 ? 6 : 5));
      REQUIRE(book.events.back().mends == static_cast<std::int64_t>(one + (two > 1 ? two : 0)));
      REQUIRE(parse_book(twice + third + appended(folder, twice + third, "on"), "b").damages.size() ==
              book.damages.size());
    }
  }
}

TEST_CASE("a changed line above torn ones is altered and they are torn", "[record][torn]") {
  const Folder folder;
  const std::string bytes = small_book(), torn = appended(folder, bytes, "never kept");
  const std::size_t start = bytes.size() - 1 - last_line(bytes).size();
  for (std::size_t i = start; i < bytes.size() - 1; ++i) {
    std::string flipped = bytes;
    flipped[i] = static_cast<char>(flipped[i] ^ 0x04);
    INFO("byte " << i);
    for (const std::size_t length : {std::size_t{1}, torn.size() / 2, torn.size() - 3}) {
      const std::string cut = flipped + torn.substr(0, length);
      const Book book = parse_book(cut + appended(folder, cut, "after"), "b");
      REQUIRE(book.damages.size() == 2);
      REQUIRE(book.damages[0].seq == 3);
      REQUIRE_FALSE(book.damages[0].torn);
      REQUIRE(book.damages[1].seq == 4);
      REQUIRE(book.damages[1].torn);
    }
    // Nor does it become torn when nothing was: the last line was acknowledged.
    const Book book = parse_book(flipped + appended(folder, flipped, "after"), "b");
    REQUIRE(book.damages.size() == 1);
    REQUIRE_FALSE(book.damages[0].torn);
    REQUIRE(book.events.back().mends == 0);
  }
  // A last line feed that was changed must not make the acknowledged line a torn one either.
  std::string open = bytes;
  open.back() = 'x';
  const Book book = parse_book(open + appended(folder, open, "after"), "b");
  REQUIRE(book.damages.size() == 1);
  REQUIRE_FALSE(book.damages[0].torn);
}

TEST_CASE("what is altered later under a mending line is not covered by it", "[record][torn]") {
  const Folder folder;
  const std::string bytes = small_book();
  const std::string torn = bytes + appended(folder, bytes, "never kept").substr(0, 60);
  const std::string whole = torn + appended(folder, torn, "after");
  REQUIRE(parse_book(whole, "b").damages.size() == 1);
  for (std::size_t i = bytes.size() - 2; i > bytes.size() - 90; --i) {
    std::string flipped = whole;
    flipped[i] = static_cast<char>(flipped[i] ^ 0x01);
    const Book book = parse_book(flipped, "b");
    INFO("byte " << i);
    REQUIRE(book.damages.size() == 2);
    REQUIRE_FALSE(book.damages[0].torn);
    REQUIRE(book.damages[1].torn);
  }
}
