// The book on disk. Appending is: open, lock, read, one write, one fdatasync, and only then "recorded".
// Nothing is ever truncated or rewritten. The only door to files that this library writes.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/record/book.h>
#include <clampbook/record/book_reader.h>

#include <cstdint>
#include <fstream>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>

namespace clampbook::record {

/// Reads a book without a lock: a line under way is seen as a tail that does not hold yet.
/// Throws InputError: unreadable-file, not-a-book, newer-format.
[[nodiscard]] Book read_book(const std::string& path);

/// The bytes of a book's lines, as they stand in the file.
class BookLines {
 public:
  /// Throws InputError: unreadable-file.
  explicit BookLines(const std::string& path);
  /// The line of an event that was read from this file, without its line feed. Throws InputError
  /// (unreadable-file) when it no longer stands there.
  [[nodiscard]] std::string of(const Event& event);

 private:
  std::string path_;
  std::ifstream in_;
};

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

  [[nodiscard]] const Book& book() const { return reader_.book(); }

  /// Lets others write until resume().
  void release();
  /// What others did to the book while it was released.
  enum class Change {
    none,
    grown,    ///< events were added; those that were there stand where they stood
    another,  ///< everything was read anew: no event of before is there any more
  };
  /// Locks again and reads what others wrote meanwhile.
  Change resume();

  /// Writes the lines, each sealed, in one write, and waits until they are on disk. A new book gets its first
  /// line in the same write. Afterwards book() holds them. Returns the seq of the first.
  /// What is written is read back and compared before the write: std::logic_error when it says something
  /// else than the drafts do, as an unknown kind or text that is not UTF-8 would.
  /// Throws StoreError: not-recorded (nothing counts), outcome-unknown (some or all of them may be there).
  std::int64_t append(std::span<const Draft> drafts, Timestamp written);
  std::int64_t append(std::initializer_list<Draft> drafts, Timestamp written) {
    return append(std::span(drafts.begin(), drafts.size()), written);
  }

 private:
  void open(Missing missing);
  void keep_off_standard();
  void lock();
  void read();
  void read_on(std::uint64_t from);
  [[nodiscard]] bool last_line_stands() const;
  [[nodiscard]] std::size_t read_at(char* out, std::size_t size, std::uint64_t offset) const;
  /// `first_end`: so many bytes make the first event whole; a line counts without its line feed.
  void write_all(std::string_view bytes, std::size_t first_end);
  void sync(bool with_folder);
  [[noreturn]] void fail(std::string slug, std::string message, std::string help) const;

  std::string path_;
  int fd_ = -1;
  BookReader reader_;
};

}  // namespace clampbook::record
