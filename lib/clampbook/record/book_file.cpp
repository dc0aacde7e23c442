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

#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <limits>
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

// The members of an object without its braces, after a comma.
void append_members(std::string& line, const text::Json::Object& members) {
  for (const auto& [key, value] : members) {
    if (value.is_null()) continue;
    line.push_back(',');
    text::append_json_string(line, key);
    line.push_back(':');
    value.dump_to(line);
  }
}

}  // namespace

Book read_book(const std::string& path) {
  const text::SourcePtr source = text::read_file(path, std::numeric_limits<std::size_t>::max());
  return parse_book(source->text(), path);
}

BookFile::BookFile(std::string path, Missing missing) : path_(std::move(path)) {
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

bool BookFile::resume() {
  lock();
  struct stat about {};
  if (::fstat(fd_, &about) == 0 && about.st_size == size_) return false;  // a book only grows
  read();
  return true;
}

void BookFile::read() {
  struct stat about {};
  if (::fstat(fd_, &about) != 0)
    fail("not-recorded", fmt::format("nothing was recorded: {}", std::strerror(errno)), "");
  std::string bytes;
  bytes.resize(static_cast<std::size_t>(about.st_size));
  std::size_t have = 0;
  while (have < bytes.size()) {
    const ssize_t n = uninterrupted(
        [&] { return ::pread(fd_, bytes.data() + have, bytes.size() - have, static_cast<off_t>(have)); });
    if (n < 0)
      fail("not-recorded",
           fmt::format("nothing was recorded: the book can't be read ({})", std::strerror(errno)), "");
    if (n == 0) break;
    have += static_cast<std::size_t>(n);
  }
  bytes.resize(have);
  book_ = parse_book(bytes, path_);
  size_ = static_cast<std::int64_t>(have);
}

std::int64_t BookFile::append(const std::vector<NewEvent>& events, Timestamp written) {
  const bool created = book_.lines == 0;
  // The folder may never have confirmed a creation that was cut off.
  const bool first_events = book_.events.empty();
  const std::string now = to_string(written);
  Book grown{book_.id, {}, {}, book_.lines, book_.seal};
  std::string bytes = book_.open_end ? "\n" : "";
  std::size_t first_end = 0;
  if (created) {
    grown.id = new_id();
    std::string line =
        fmt::format("{{\"format\":\"{}\",\"seq\":0,\"id\":\"{}\",\"written\":\"{}\",\"after\":\"\"", kFormat,
                    grown.id, now);
    grown.seal = seal_of(line);
    bytes += sealed(line) + "\n";
    ++grown.lines;
  }
  const std::int64_t first = grown.lines;
  for (const NewEvent& event : events) {
    std::string line = fmt::format("{{\"seq\":{},\"written\":\"{}\",\"at\":\"{}\",\"kind\":", grown.lines,
                                   now, to_string(event.at));
    text::append_json_string(line, event.kind);
    append_members(line, event.members);
    if (book_.torn > 0 && grown.lines == first) line += fmt::format(",\"mends\":{}", book_.torn);
    line += fmt::format(",\"after\":\"{}\"", grown.seal);
    line = sealed(line);
    bytes += line;
    if (grown.lines == first) first_end = bytes.size();
    bytes += "\n";
    grown.seal = std::string(*verified_seal(line));
    grown.events.push_back(
        {grown.lines++, written, event.at, event.kind, *text::parse_json(line), grown.seal});
  }
  write_all(bytes, first_end);
  sync(first_events);

  // What was read stays valid; only the new lines are added to it.
  for (Event& event : grown.events) book_.events.push_back(std::move(event));
  book_.id = grown.id;
  book_.lines = grown.lines;
  book_.seal = grown.seal;
  book_.open_end = false;
  book_.torn = 0;
  size_ += static_cast<std::int64_t>(bytes.size());
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
