// Bytes into a book, block by block: the text of the file is never held whole. Private to this room.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/book.h>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::record {

class BookReader {
 public:
  /// `name` is for messages.
  explicit BookReader(std::string name) : name_(std::move(name)) {}

  /// The next bytes of the file. Throws InputError: not-a-book, newer-format.
  void feed(std::string_view block);
  /// After the last of them: what stands behind the last line feed, and what was cut off. Throws InputError:
  /// not-a-book.
  void finish();
  /// Lines of our own, which were just written behind all that was fed. `bytes`: of them and of what stands
  /// between.
  void take_own(std::string id, std::vector<Event> events, std::uint64_t bytes);

  [[nodiscard]] const Book& book() const { return book_; }
  [[nodiscard]] Book take_book() { return std::move(book_); }
  /// Bytes that were read.
  [[nodiscard]] std::uint64_t size() const { return offset_; }
  /// Whether the file may grow under us and only its new bytes be fed: its last line is whole and holds.
  [[nodiscard]] bool can_go_on() const { return any_ && bad_.empty() && !book_.open_end; }

 private:
  struct Bad {
    std::string text;
    std::uint64_t offset;
  };

  void take_line(std::string_view line);
  bool accept_event(text::Json body, std::string_view seal, std::string_view line, std::string& why);
  bool accept_first(const text::Json& body, std::string_view seal, std::string& why);
  void check_place(const Event& event, std::string_view after);
  void mend(std::int64_t bytes);
  void find_torn_end();
  void mark_torn(std::size_t count);

  std::string name_;
  Book book_{};
  std::string rest_{};        // behind the last line feed
  std::uint64_t offset_ = 0;  // of rest_ in the file
  bool first_ = true;         // no line was taken yet
  bool any_ = false;          // a line holds
  std::string front_{};       // of the file, while no line holds
  std::vector<Bad> bad_{};    // the lines that don't hold since the last one that does
};

}  // namespace clampbook::record
