#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <utility>

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
  Descriptor(Descriptor&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

// A regular file that is open for reading, and what is known of it.
struct Opened {
  Descriptor file;
  struct stat about {};
};

Opened open_regular(const std::string& path) {
  if (path.find('\0') != std::string::npos || path.empty())
    refuse(path, "unreadable-file", "this is not a file name");
  // Not blocking: opening a pipe that nobody writes to must not hang.
  Opened out{Descriptor(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY))};
  if (out.file.get() < 0 || ::fstat(out.file.get(), &out.about) != 0)
    refuse(path, "unreadable-file", fmt::format("cannot be read: {}", std::strerror(errno)));
  if (S_ISDIR(out.about.st_mode)) refuse(path, "unreadable-file", "is a folder, not a file");
  if (!S_ISREG(out.about.st_mode))
    refuse(path, "unreadable-file", "is not a regular file", "save it as a file first");
  return out;
}

// Bytes read, 0 at the end.
std::size_t read_some(const Opened& opened, const std::string& path, char* out, std::size_t size) {
  while (true) {
    const ssize_t n = ::read(opened.file.get(), out, size);
    if (n >= 0) return static_cast<std::size_t>(n);
    if (errno != EINTR)
      refuse(path, "unreadable-file", fmt::format("cannot be read: {}", std::strerror(errno)));
  }
}

}  // namespace

SourcePtr read_file(const std::string& path, std::size_t largest) {
  const Opened opened = open_regular(path);
  if (static_cast<std::size_t>(opened.about.st_size) > largest)
    refuse(path, "too-large", fmt::format("is {} bytes long; {} at most", opened.about.st_size, largest),
           "is this the right file?");
  std::string text;
  text.resize(static_cast<std::size_t>(opened.about.st_size));
  std::size_t have = 0;
  while (have < text.size()) {
    const std::size_t n = read_some(opened, path, text.data() + have, text.size() - have);
    if (n == 0) break;
    have += n;
  }
  text.resize(have);
  return std::make_shared<const Source>(path, std::move(text));
}

void read_blocks(const std::string& path, const std::function<void(std::string_view)>& take) {
  constexpr std::size_t kBlock = std::size_t{1} << 20;
  const Opened opened = open_regular(path);
  const auto size = static_cast<std::size_t>(opened.about.st_size);
  std::string block(std::min(size, kBlock), '\0');
  for (std::size_t have = 0; have < size;) {
    const std::size_t n = read_some(opened, path, block.data(), std::min(block.size(), size - have));
    if (n == 0) break;
    take(std::string_view(block).substr(0, n));
    have += n;
  }
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
