#include <clampbook/record/new_file.h>
#include <clampbook/text/error.h>

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace clampbook::record {

namespace {

[[noreturn]] void fail(const std::string& path, std::string slug, std::string message, std::string help) {
  text::Diagnostic d{std::move(slug), std::move(message), std::move(help)};
  d.file = path;
  throw StoreError(std::move(d));
}

bool write_whole(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = ::write(fd, text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return ::fsync(fd) == 0;
}

}  // namespace

void write_new_file(const std::string& path, std::string_view text) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (fd < 0 && errno == EEXIST)
    fail(path, "file-exists", "exists already and is not written over", "choose another name");
  if (fd < 0)
    fail(path, "output-failed", fmt::format("can't be made: {}", std::strerror(errno)),
         "does its folder exist?");
  const bool written = write_whole(fd, text);
  const int why = errno;
  ::close(fd);
  if (written) return;
  ::unlink(path.c_str());
  fail(path, "output-failed", fmt::format("nothing was kept: {}", std::strerror(why)),
       "make room, then try again");
}

}  // namespace clampbook::record
