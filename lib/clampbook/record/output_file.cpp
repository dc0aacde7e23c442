#include <clampbook/record/output_file.h>
#include <clampbook/record/seal.h>
#include <clampbook/text/error.h>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <memory>

namespace clampbook::record {

namespace {

[[noreturn]] void fail(const std::string& path, std::string slug, std::string message, std::string help) {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = path;
  throw StoreError(std::move(d));
}

[[noreturn]] void refuse_existing(const std::string& path) {
  fail(path, "file-exists", "exists already and is not written over", "choose another name");
}

constexpr int kMostTries = 100;  // of a call that a signal interrupts

// A pipe or a terminal can't be synced, and need not be.
bool write_whole(int fd, std::string_view text, bool to_disk) {
  int tries = 0;
  while (!text.empty()) {
    const ssize_t n = ::write(fd, text.data(), text.size());
    if (n < 0 && errno == EINTR && ++tries < kMostTries) continue;
    if (n < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  while (to_disk && ::fsync(fd) != 0)
    if (errno != EINTR || ++tries >= kMostTries) return false;
  return true;
}

// It begins as one, or one of its first lines is sealed: a damaged book is one too.
bool is_book(const std::string& path) {
  const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (fd < 0)
    fail(path, "output-failed",
         fmt::format("is there and may be a book, but can't be looked into: {}", std::strerror(errno)),
         "choose another name");
  std::string start(std::size_t{1} << 18, '\0');
  const ssize_t n = ::read(fd, start.data(), start.size());
  ::close(fd);
  if (n <= 0) return false;
  std::string_view text = std::string_view(start).substr(0, static_cast<std::size_t>(n));
  if (text.starts_with("{\"format\":\"clampbook book")) return true;
  while (text.starts_with('{')) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    if (verified_seal(text.substr(0, end))) return true;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return false;
}

// Where the name leads; the name itself when it leads nowhere yet.
std::string destination(const std::string& path) {
  const std::unique_ptr<char, decltype(&std::free)> real(::realpath(path.c_str(), nullptr), &std::free);
  return real ? std::string(real.get()) : path;
}

void sync_folder_of(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  const std::string folder = slash == std::string::npos ? "." : path.substr(0, slash + 1);
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;
  // The text is on disk and has its name; a folder that can't be synced may only lose it in a power cut.
  static_cast<void>(::fsync(fd));
  ::close(fd);
}

// The file beside `path`, gone again unless it got the name.
class Beside {
 public:
  Beside(const std::string& path, mode_t mode)
      : path_(path), name_(fmt::format("{}.{}.part", path, ::getpid())) {
    fd_ = ::open(name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode);
  }
  ~Beside() {
    if (fd_ < 0) return;
    ::close(fd_);
    if (!named_) ::unlink(name_.c_str());
  }
  Beside(const Beside&) = delete;
  Beside& operator=(const Beside&) = delete;

  [[nodiscard]] int fd() const { return fd_; }

  // Says whether it has the name now; errno says why not.
  bool take_name(Existing existing) {
    if (existing == Existing::replace) {
      named_ = ::rename(name_.c_str(), path_.c_str()) == 0;
      return named_;
    }
    named_ = ::renameat2(AT_FDCWD, name_.c_str(), AT_FDCWD, path_.c_str(), RENAME_NOREPLACE) == 0;
    // Some file systems can't promise that nothing is replaced; then a look just before has to do.
    if (!named_ && (errno == EINVAL || errno == ENOSYS) && ::access(path_.c_str(), F_OK) != 0)
      named_ = ::rename(name_.c_str(), path_.c_str()) == 0;
    return named_;
  }

 private:
  std::string path_, name_;
  int fd_ = -1;
  bool named_ = false;
};

void write_to_device(const std::string& path, std::string_view text) {
  // To open a pipe without a reader must not wait for one; to write may wait.
  const int fd = ::open(path.c_str(), O_WRONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
  const bool written = fd >= 0 && ::fcntl(fd, F_SETFL, 0) == 0 && write_whole(fd, text, false);
  const int why = errno;
  if (fd >= 0) ::close(fd);
  if (!written)
    fail(path, "output-failed",
         fmt::format("can't be written: {}", why == ENXIO ? "nobody reads from it" : std::strerror(why)),
         "choose a file");
}

}  // namespace

void write_output_file(const std::string& path, std::string_view text, Existing existing) {
  if (path.empty()) fail(path, "output-failed", "an empty name is no file's", "name the file to write");
  struct stat there {};
  const bool exists = ::stat(path.c_str(), &there) == 0;
  if (exists && existing == Existing::refuse) refuse_existing(path);
  if (exists && S_ISDIR(there.st_mode)) fail(path, "output-failed", "is a folder", "name a file in it");
  if (exists && !S_ISREG(there.st_mode)) {
    write_to_device(path, text);
    return;
  }
  if (exists && is_book(path))
    fail(path, "file-exists", "is a book and is never written over", "choose another name");
  const std::string target = destination(path);
  Beside file(target, exists ? there.st_mode & 0777 : 0666);
  if (file.fd() < 0)
    fail(path, "output-failed", fmt::format("can't be made: {}", std::strerror(errno)),
         "does its folder exist?");
  if (!write_whole(file.fd(), text, true) || !file.take_name(existing)) {
    const int why = errno;
    if (why == EEXIST) refuse_existing(path);
    fail(path, "output-failed",
         fmt::format("not written: {}; {}", std::strerror(why),
                     exists ? "the file that was there is as it was" : "nothing is left under that name"),
         "make room, then try again");
  }
  sync_folder_of(target);
}

void make_output_folder(const std::string& path) {
  struct stat there {};
  const bool exists = ::stat(path.c_str(), &there) == 0;
  if (exists && S_ISDIR(there.st_mode)) return;
  if (exists) fail(path, "output-failed", "is a file and no folder", "choose another name");
  if (::mkdir(path.c_str(), 0777) != 0)
    fail(path, "output-failed", fmt::format("the folder can't be made: {}", std::strerror(errno)),
         "name one whose own folder exists");
}

bool is_same_file(const std::string& a, const std::string& b) {
  struct stat first {
  }, second{};
  return ::stat(a.c_str(), &first) == 0 && ::stat(b.c_str(), &second) == 0 && first.st_dev == second.st_dev &&
         first.st_ino == second.st_ino;
}

}  // namespace clampbook::record
