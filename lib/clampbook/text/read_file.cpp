#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

namespace clampbook::text {

namespace {

[[noreturn]] void refuse(const std::string& path, std::string slug, std::string message,
                         std::string help = {}) {
  Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = path;
  throw InputError(std::move(d));
}

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

}  // namespace

SourcePtr read_file(const std::string& path, std::size_t largest) {
  if (path.find('\0') != std::string::npos || path.empty())
    refuse(path, "unreadable-file", "this is not a file name");
  // Not blocking: opening a pipe that nobody writes to must not hang.
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY));
  if (file.get() < 0)
    refuse(path, "unreadable-file", fmt::format("cannot be read: {}", std::strerror(errno)));
  struct stat about {};
  if (::fstat(file.get(), &about) != 0)
    refuse(path, "unreadable-file", fmt::format("cannot be read: {}", std::strerror(errno)));
  if (S_ISDIR(about.st_mode)) refuse(path, "unreadable-file", "is a folder, not a file");
  if (!S_ISREG(about.st_mode))
    refuse(path, "unreadable-file", "is not a regular file", "save it as a file first");
  if (static_cast<std::size_t>(about.st_size) > largest)
    refuse(path, "too-large", fmt::format("is {} bytes long; {} at most", about.st_size, largest),
           "is this the right file?");
  std::string text;
  text.resize(static_cast<std::size_t>(about.st_size));
  std::size_t have = 0;
  while (have < text.size()) {
    const ssize_t n = ::read(file.get(), text.data() + have, text.size() - have);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) refuse(path, "unreadable-file", fmt::format("cannot be read: {}", std::strerror(errno)));
    if (n == 0) break;
    have += static_cast<std::size_t>(n);
  }
  text.resize(have);
  return std::make_shared<const Source>(path, std::move(text));
}

std::ifstream open_file(const std::string& path) {
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored))
    refuse(path, "unreadable-file", "is a folder, not a file");
  std::ifstream in(path, std::ios::binary);
  if (!in) refuse(path, "unreadable-file", fmt::format("cannot be read: {}", std::strerror(errno)));
  return in;
}

}  // namespace clampbook::text
