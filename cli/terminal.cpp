#include "cli/terminal.h"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <string_view>

namespace clampbook::cli {

namespace {

std::string_view environment(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): one thread
  return value != nullptr ? std::string_view(value) : std::string_view();
}

}  // namespace

bool terminal_wants_colour() {
  return ::isatty(STDOUT_FILENO) != 0 && environment("NO_COLOR").empty() && environment("TERM") != "dumb" &&
         !environment("TERM").empty();
}

bool locale_is_utf8() {
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    const std::string_view value = environment(name);
    if (value.empty()) continue;
    for (const std::string_view word : {"UTF-8", "utf-8", "UTF8", "utf8"})
      if (value.find(word) != std::string_view::npos) return true;
    return false;
  }
  return false;
}

bool input_is_a_terminal() {
  return ::isatty(STDIN_FILENO) != 0;
}

bool output_is_a_terminal() {
  return ::isatty(STDOUT_FILENO) != 0;
}

std::optional<std::size_t> terminal_columns() {
  struct winsize size {};
  if (!output_is_a_terminal() || ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
    return std::nullopt;
  return size.ws_col;
}

void ignore_output_signals() {
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
}

void keep_standard_descriptors() {
  // open() takes the lowest free number. O_PATH: a use of it fails just as one of a closed descriptor does.
  for (int fd = ::open("/", O_PATH); fd >= 0; fd = ::open("/", O_PATH)) {
    if (fd <= STDERR_FILENO) continue;
    ::close(fd);
    return;
  }
}

}  // namespace clampbook::cli
