#include <clampbook/record/book_file.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <stdexcept>
#include <utility>

namespace clampbook::record {

namespace {

constexpr int kInterruptions = 100;  // a signal that keeps coming must not hold us for ever
constexpr int kLockTries = 1000;     // of 10 ms each: ten seconds
constexpr long kLockPause = 10'000'000;
constexpr int kAboveStandard = 3;  // the first descriptor that is none of stdin, stdout and stderr

constexpr const char* kLookFirst =
    "look at the book with: clampbook check BOOK; enter it again only if it is not there";

// Repeats a call that a signal interrupted.
template <class Call>
auto uninterrupted(Call call) {
  auto result = call();
  for (int tries = 1; result < 0 && errno == EINTR && tries < kInterruptions; ++tries) result = call();
  return result;
}

std::string new_id() {
  std::array<unsigned char, 16> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size())) {
    struct timespec now {};
    ::clock_gettime(CLOCK_REALTIME, &now);
    return seal_of(fmt::format("{}.{}.{}", now.tv_sec, now.tv_nsec, ::getpid()));
  }
  std::string out;
  for (const unsigned char byte : bytes) out += fmt::format("{:02x}", byte);
  return out;
}

constexpr std::size_t kBlock = std::size_t{1} << 20;  // bytes that are read at once

// A new book's first line.
std::string first_line(const std::string& id, Timestamp written) {
  return sealed(fmt::format("{{\"format\":\"{}\",\"seq\":0,\"id\":\"{}\",\"written\":\"{}\",\"after\":\"\"",
                            kFormat, id, to_string(written)));
}

// What the line says, read as any reader will read it.
Event read_back(const std::string& line, const Draft& draft, std::uint64_t offset) {
  Event out;
  std::string after, why;
  std::optional<text::Json> body = text::parse_json(line, &why);
  if (!body || !read_event(std::move(*body), out, after, why))
    throw std::logic_error("a line that can't be read back: " + why);
  if (std::holds_alternative<Unknown>(out.line) || out.line != draft.line || *out.remarks != draft.remarks ||
      out.at != draft.at)
    throw std::logic_error(fmt::format("a line of kind {} does not say what it was made from", out.kind()));
  const std::string_view digits = *verified_seal(line);
  std::copy_n(digits.begin(), out.seal.size(), out.seal.begin());
  out.offset = offset;
  out.length = static_cast<std::uint32_t>(line.size());
  return out;
}

}  // namespace

Book read_book(const std::string& path) {
  BookReader reader(path);
  text::read_blocks(path, [&](std::string_view block) { reader.feed(block); });
  reader.finish();
  return reader.take_book();
}

BookLines::BookLines(const std::string& path) : path_(path), in_(text::open_file(path)) {}

std::string BookLines::of(const Event& event) {
  std::string out(event.length, '\0');
  in_.clear();
  in_.seekg(static_cast<std::streamoff>(event.offset));
  in_.read(out.data(), static_cast<std::streamsize>(out.size()));
  const auto seal = verified_seal(out);
  if (in_ && seal && *seal == view(event.seal)) return out;
  text::Diagnostic d{
      "unreadable-file",
      fmt::format("line {} is no longer where it was read: the file was changed meanwhile", event.seq),
      "try again"};
  d.file = path_;
  throw InputError(std::move(d));
}

BookFile::BookFile(std::string path, Missing missing) : path_(std::move(path)), reader_(path_) {
  try {
    open(missing);
    lock();
    read();
  } catch (...) {
    if (fd_ >= 0) ::close(fd_);
    throw;
  }
}

BookFile::~BookFile() {
  ::close(fd_);
}  // which also releases the lock

void BookFile::fail(std::string slug, std::string message, std::string help) const {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = path_;
  throw StoreError(std::move(d));
}

void BookFile::open(Missing missing) {
  if (path_.empty())
    throw InputError(text::Diagnostic{"unreadable-file", "an empty name is no file's", "name the book"});
  const int create = missing == Missing::create ? O_CREAT : 0;
  fd_ = uninterrupted([&] {
    return ::open(path_.c_str(), O_RDWR | O_APPEND | O_CLOEXEC | O_NOCTTY | O_NONBLOCK | create, 0666);
  });
  if (fd_ < 0) {
    const int why = errno;
    if (why == EACCES || why == EROFS || why == EPERM)
      fail("read-only",
           fmt::format("nothing was recorded: the book can't be written ({})", std::strerror(why)),
           "check who owns the file and its folder");
    const bool wrong_name = why == ENOENT || why == ENOTDIR || why == ELOOP || why == ENAMETOOLONG;
    if (missing == Missing::create && why != EISDIR)
      fail("not-recorded",
           fmt::format("nothing was recorded: the book can't be made ({})", std::strerror(why)),
           "does its folder exist?");
    if (why != EISDIR && !wrong_name)
      fail("not-recorded",
           fmt::format("nothing was recorded: the book can't be opened ({})", std::strerror(why)),
           "mend the disk, then enter it again");
    text::Diagnostic d{
        "unreadable-file",
        why == EISDIR ? "is a folder, not a book" : fmt::format("cannot be read: {}", std::strerror(why)),
        why == ENOENT ? "clampbook begin BOOK FILE makes a book" : ""};
    d.file = path_;
    throw InputError(std::move(d));
  }
  keep_off_standard();
  struct stat about {};
  if (::fstat(fd_, &about) != 0)
    fail("not-recorded", fmt::format("nothing was recorded: {}", std::strerror(errno)), "");
  if (!S_ISREG(about.st_mode)) {
    text::Diagnostic d{"not-a-book", "is not a regular file", "a book is a file on a local disk"};
    d.file = path_;
    throw InputError(std::move(d));
  }
}

// A program that was started with stdout closed gets its number here: what it prints would end in the book.
void BookFile::keep_off_standard() {
  if (fd_ >= kAboveStandard) return;
  const int above = ::fcntl(fd_, F_DUPFD_CLOEXEC, kAboveStandard);
  const int why = errno;
  ::close(std::exchange(fd_, above));
  if (above < 0)
    fail("not-recorded",
         fmt::format("nothing was recorded: the book can't be opened ({})", std::strerror(why)), "");
}

void BookFile::lock() {
  for (int tries = 0; uninterrupted([&] { return ::flock(fd_, LOCK_EX | LOCK_NB); }) != 0; ++tries) {
    if (errno != EWOULDBLOCK)
      fail("not-recorded",
           fmt::format("nothing was recorded: the book can't be locked ({})", std::strerror(errno)),
           "a book is kept on a local disk");
    if (tries == kLockTries)
      fail("book-busy", "nothing was recorded: another program has held the book for ten seconds",
           "try again when it has ended");
    const struct timespec pause { 0, kLockPause };
    ::nanosleep(&pause, nullptr);
  }
}

// NOLINTNEXTLINE(readability-make-member-function-const): it gives the lock away
void BookFile::release() {
  static_cast<void>(::flock(fd_, LOCK_UN));
}

BookFile::Change BookFile::resume() {
  lock();
  struct stat about {};
  const bool told = ::fstat(fd_, &about) == 0;
  const std::uint64_t size = told ? static_cast<std::uint64_t>(about.st_size) : 0;
  if (told && size == reader_.size()) return Change::none;  // a book only grows
  if (told && size > reader_.size() && reader_.can_go_on() && last_line_stands()) {
    read_on(reader_.size());
    return Change::grown;
  }
  read();
  return Change::another;
}

// Other programs may have put another file in the place of this one's bytes.
bool BookFile::last_line_stands() const {
  if (book().events.empty()) return false;
  const Event& last = book().events.back();
  std::string line(last.length + 1, '\0');
  if (read_at(line.data(), line.size(), last.offset) != line.size() || line.back() != '\n') return false;
  line.pop_back();
  const auto seal = verified_seal(line);
  return seal && *seal == view(last.seal);
}

std::size_t BookFile::read_at(char* out, std::size_t size, std::uint64_t offset) const {
  std::size_t have = 0;
  while (have < size) {
    const ssize_t n = uninterrupted(
        [&] { return ::pread(fd_, out + have, size - have, static_cast<off_t>(offset + have)); });
    if (n < 0)
      fail("not-recorded",
           fmt::format("nothing was recorded: the book can't be read ({})", std::strerror(errno)), "");
    if (n == 0) break;
    have += static_cast<std::size_t>(n);
  }
  return have;
}

void BookFile::read() {
  reader_ = BookReader(path_);
  read_on(0);
}

void BookFile::read_on(std::uint64_t from) {
  struct stat about {};
  if (::fstat(fd_, &about) != 0)
    fail("not-recorded", fmt::format("nothing was recorded: {}", std::strerror(errno)), "");
  const auto size = static_cast<std::uint64_t>(about.st_size);
  std::string block(from < size ? std::min<std::uint64_t>(size - from, kBlock) : 0, '\0');
  while (from < size) {
    const std::size_t want = std::min<std::uint64_t>(block.size(), size - from);
    const std::size_t have = read_at(block.data(), want, from);
    reader_.feed(std::string_view(block).substr(0, have));
    from += have;
    if (have < want) break;
  }
  reader_.finish();
}

std::int64_t BookFile::append(std::span<const Draft> drafts, Timestamp written) {
  const Book& before = book();
  // The folder may never have confirmed a creation that was cut off.
  const bool first_events = before.events.empty();
  std::string bytes = before.open_end ? "\n" : "";
  std::string id = before.id, seal = before.seal;
  std::int64_t next = before.lines;
  if (next == 0) {
    id = new_id();
    const std::string line = first_line(id, written);
    seal = *verified_seal(line);
    bytes += line + "\n";
    ++next;
  }
  const std::int64_t first = next;
  std::vector<Event> events;
  std::size_t first_end = 0;
  for (const Draft& draft : drafts) {
    Event event{next++, written, draft.at, draft.line};
    if (draft.remarks != Remarks{}) event.remarks = draft.remarks;
    if (before.torn > 0 && events.empty()) event.mends = static_cast<std::int64_t>(before.torn);
    const std::string line = sealed(fmt::format("{},\"after\":\"{}\"", open_line(event), seal));
    events.push_back(read_back(line, draft, reader_.size() + bytes.size()));
    seal = view(events.back().seal);
    bytes += line;
    if (events.size() == 1) first_end = bytes.size();
    bytes += "\n";
  }
  write_all(bytes, first_end);
  sync(first_events);
  // What was read stays valid; only the new lines are added to it.
  reader_.take_own(std::move(id), std::move(events), bytes.size());
  return first;
}

void BookFile::write_all(std::string_view bytes, std::size_t first_end) {
  // cppcheck-suppress invalidLifetime ; the lambda is gone before `bytes` is
  const ssize_t n = uninterrupted([&] { return ::write(fd_, bytes.data(), bytes.size()); });
  if (n == static_cast<ssize_t>(bytes.size())) return;
  if (n >= 0 && static_cast<std::size_t>(n) >= first_end)
    fail("outcome-unknown",
         "the disk took only a part, but the entry is whole in it; all earlier entries are kept", kLookFirst);
  const std::string why = n < 0 ? std::strerror(errno) : "the disk took only a part";
  fail("not-recorded",
       fmt::format("not recorded: {}; all earlier entries are kept{}", why,
                   n > 0 ? ", and the part that was written does not count" : ""),
       "make room or mend the disk, then enter it again");
}

void BookFile::sync(bool with_folder) {
  // A new file is lost with its folder's entry, however well its bytes are kept: sync both, the file whole.
  const int result = uninterrupted([&] { return with_folder ? ::fsync(fd_) : ::fdatasync(fd_); });
  if (result != 0)
    fail("outcome-unknown",
         fmt::format("the entry was written, but the disk did not confirm it ({}); it may or may not be kept",
                     std::strerror(errno)),
         kLookFirst);
  if (!with_folder) return;
  std::string folder = std::filesystem::path(path_).parent_path().string();
  if (folder.empty()) folder = ".";
  const int fd = uninterrupted([&] { return ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); });
  const bool done = fd >= 0 && uninterrupted([&] { return ::fsync(fd); }) == 0;
  const int why = errno;
  if (fd >= 0) ::close(fd);
  if (!done)
    fail("outcome-unknown",
         fmt::format("the book was written, but its folder did not confirm it ({})", std::strerror(why)),
         kLookFirst);
}

}  // namespace clampbook::record
