// The book on disk. Appending is: open, lock, read, one write, one fdatasync, and only then "recorded".
// Nothing is ever truncated or rewritten. The only door to files that this library writes.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/book.h>

#include <string>
#include <string_view>
#include <vector>

namespace clampbook::record {

/// An event that is to be written: its own members, in order, between `kind` and `after`.
struct NewEvent {
  Timestamp at;
  std::string kind;
  text::Json::Object members{};
};

/// Reads a book without a lock: a line under way is seen as a tail that does not hold yet.
/// Throws InputError: unreadable-file, not-a-book, newer-format.
[[nodiscard]] Book read_book(const std::string& path);

/// A book that is held for appending. Others wait until it is destroyed.
class BookFile {
 public:
  enum class Missing { refuse, create };

  /// Opens, locks (waiting up to ten seconds) and reads. Throws InputError: unreadable-file, not-a-book,
  /// newer-format; StoreError: book-busy, read-only, not-recorded.
  BookFile(std::string path, Missing missing);
  ~BookFile();
  BookFile(const BookFile&) = delete;
  BookFile& operator=(const BookFile&) = delete;

  [[nodiscard]] const Book& book() const { return book_; }

  /// Lets others write until resume().
  void release();
  /// Locks again and reads what others wrote meanwhile. True when there was something; book() is then
  /// another.
  bool resume();

  /// Writes the events, one line each, in one write, and waits until they are on disk. A new book gets its
  /// first line in the same write. Afterwards book() holds them. Returns the seq of the first.
  /// Throws StoreError: not-recorded (nothing counts), outcome-unknown (some or all of them may be there).
  std::int64_t append(const std::vector<NewEvent>& events, Timestamp written);

 private:
  void open(Missing missing);
  void keep_off_standard();
  void lock();
  void read();
  /// `first_end`: so many bytes make the first event whole; a line counts without its line feed.
  void write_all(std::string_view bytes, std::size_t first_end);
  void sync(bool with_folder);
  [[noreturn]] void fail(std::string slug, std::string message, std::string help) const;

  std::string path_;
  int fd_ = -1;
  std::int64_t size_ = 0;  ///< bytes of the file that book_ holds
  Book book_;
};

}  // namespace clampbook::record
