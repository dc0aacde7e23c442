// Folders and small books for the tests of this room.
#pragma once

#include <clampbook/record/book_file.h>
#include <clampbook/record/timestamp.h>

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace clampbook::books {

class Folder {
 public:
  /// In `parent`, or where temporary files go when there is no such folder.
  explicit Folder(const std::filesystem::path& parent = {})
      : path_((std::filesystem::is_directory(parent) ? parent : std::filesystem::temp_directory_path()) /
              ("clampbook-test-" + std::to_string(::getpid()) + "-" + std::to_string(next_++))) {
    std::filesystem::create_directory(path_);
  }
  ~Folder() { std::filesystem::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }

 private:
  static inline int next_ = 0;
  std::filesystem::path path_;
};

inline std::string content(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

inline void put(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

inline const record::Timestamp kNow = *record::parse_timestamp("2026-05-04T09:30:00.000+02:00");

inline record::Draft note(const std::string& text) {
  record::Draft out{kNow, record::Note{}};
  out.remarks.note = text;
  return out;
}

// A book with a first line and three notes.
inline std::string small_book() {
  const Folder folder;
  const std::string path = folder.file("b.book");
  {
    record::BookFile book(path, record::BookFile::Missing::create);
    book.append({note("one"), note("two")}, kNow);
    book.append({note("three")}, kNow);
  }
  return content(path);
}

}  // namespace clampbook::books
