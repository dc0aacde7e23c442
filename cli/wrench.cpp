#include "cli/wrench.h"

#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include "cli/command.h"

#include <fmt/format.h>

#include <fcntl.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

namespace clampbook::cli {

namespace {

constexpr std::size_t kMostAtOnce = std::size_t{1} << 20;

struct Rate {
  unsigned baud;
  speed_t code;
};

constexpr std::array<Rate, 10> kRates{{{1200, B1200},
                                       {2400, B2400},
                                       {4800, B4800},
                                       {9600, B9600},
                                       {19'200, B19200},
                                       {38'400, B38400},
                                       {57'600, B57600},
                                       {115'200, B115200},
                                       {230'400, B230400},
                                       {460'800, B460800}}};

speed_t code_of(unsigned baud) {
  const auto* const found =
      std::find_if(kRates.begin(), kRates.end(), [&](const Rate& r) { return r.baud == baud; });
  return found == kRates.end() ? B0 : found->code;
}

[[noreturn]] void refuse(std::string message, std::string help) {
  throw UsageError(text::Diagnostic{"bad-option", std::move(message), std::move(help)});
}

// Eight bits, no parity, one stop bit; no signs of its own, and nothing echoed back into the wrench.
bool set_up(int fd, unsigned baud) {
  struct termios settings {};
  if (::tcgetattr(fd, &settings) != 0) return false;
  ::cfmakeraw(&settings);
  settings.c_cflag |= CLOCAL | CREAD;
  settings.c_cflag &= ~static_cast<tcflag_t>(CSTOPB | PARENB | HUPCL);
  settings.c_cc[VMIN] = 1;  // so that nothing read means: gone
  settings.c_cc[VTIME] = 0;
  ::cfsetispeed(&settings, code_of(baud));
  ::cfsetospeed(&settings, code_of(baud));
  return ::tcsetattr(fd, TCSANOW, &settings) == 0;
}

}  // namespace

WrenchSource parse_wrench_source(const std::string& word) {
  constexpr std::string_view kSerial = "serial:";
  if (word.empty())
    refuse("--wrench needs a source", "one of: - (standard input), a path, serial:DEV[,BAUD[,8N1]]");
  if (word == "-") return {};
  if (!word.starts_with(kSerial)) return {WrenchSource::Kind::path, word};
  WrenchSource out{WrenchSource::Kind::serial, word.substr(kSerial.size())};
  const std::size_t comma = out.path.find(',');
  if (comma != std::string::npos) {
    std::string baud = out.path.substr(comma + 1);
    out.path.resize(comma);
    if (const std::size_t second = baud.find(','); second != std::string::npos) {
      if (baud.substr(second + 1) != "8N1")
        refuse(fmt::format("--wrench can't speak '{}'", baud.substr(second + 1)),
               "8N1 is what it can: eight bits, no parity, one stop bit");
      baud.resize(second);
    }
    const text::NumberScan scan = text::scan_number(baud);
    out.baud = scan && scan.value >= 0 && scan.value < 1e6 ? static_cast<unsigned>(scan.value) : 0;
    if (!scan || static_cast<double>(out.baud) != scan.value || code_of(out.baud) == B0)
      refuse(fmt::format("--wrench can't run at '{}' baud", baud),
             "one of: 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800");
  }
  if (out.path.empty())
    refuse("--wrench serial: names no device", "for example serial:/dev/ttyUSB0,9600,8N1");
  return out;
}

void LineBuffer::feed(std::string_view bytes) {
  for (const char c : bytes) {
    const bool feed_of_crlf = c == '\n' && std::exchange(after_cr_, false);
    after_cr_ = c == '\r';
    if (feed_of_crlf) continue;
    if (c == '\r' || c == '\n') {
      lines_.push_back(std::exchange(open_, {}));
      began_ = false;
      continue;
    }
    began_ = true;
    if (open_.text.size() < longest_) {
      open_.text.push_back(c);
    } else {
      open_.too_long = true;
    }
  }
}

std::optional<LineBuffer::Line> LineBuffer::take() {
  if (lines_.empty()) return std::nullopt;
  Line out = std::move(lines_.front());
  lines_.pop_front();
  return out;
}

std::optional<LineBuffer::Line> LineBuffer::take_rest() {
  if (!std::exchange(began_, false)) return std::nullopt;
  return std::exchange(open_, {});
}

WrenchPort::WrenchPort(WrenchSource source) : source_(std::move(source)) {
  if (open(true)) return;
  text::Diagnostic d{"unreadable-file", fmt::format("the wrench can't be read: {}", std::strerror(errno)),
                     source_.kind == WrenchSource::Kind::serial
                         ? "is it plugged in, and are you allowed to read the device?"
                         : "name a pipe, a file, or serial:DEV"};
  d.file = source_.path;
  throw InputError(std::move(d));
}

WrenchPort::~WrenchPort() {
  if (fd_ >= 0) ::close(fd_);
}

bool WrenchPort::open(bool first) {
  struct stat about {};
  if (::stat(source_.path.c_str(), &about) != 0) return false;
  if (S_ISDIR(about.st_mode)) {
    errno = EISDIR;
    return false;
  }
  // A pipe that is open for writing too does not end when its writer goes.
  const bool writable = S_ISFIFO(about.st_mode) || source_.kind == WrenchSource::Kind::serial;
  const int fd =
      ::open(source_.path.c_str(), (writable ? O_RDWR : O_RDONLY) | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
  if (fd < 0) return false;
  grows_ = S_ISREG(about.st_mode);
  if (source_.kind == WrenchSource::Kind::serial && !set_up(fd, source_.baud)) {
    const int why = errno;
    ::close(fd);
    errno = why;
    return false;
  }
  // What stands in a file already is of an earlier sitting; to read it again would double every reading.
  if (grows_ && first) {
    const off_t end = ::lseek(fd, 0, SEEK_END);
    passed_over_ = end > 0 ? static_cast<std::size_t>(end) : 0;
  }
  fd_ = fd;
  return true;
}

void WrenchPort::lose() {
  ::close(fd_);
  fd_ = -1;
}

// Somebody emptied the file, or began a new one in its place: its lines are new.
void WrenchPort::begin_again_if_shorter() {
  struct stat about {};
  if (::fstat(fd_, &about) == 0 && about.st_size < ::lseek(fd_, 0, SEEK_CUR))
    static_cast<void>(::lseek(fd_, 0, SEEK_SET));
}

int WrenchPort::descriptor() const {
  return grows_ ? -1 : fd_;
}

WrenchPort::State WrenchPort::read(LineBuffer& lines) {
  if (fd_ < 0) return open(false) ? State::back : State::there;
  std::array<char, 4096> bytes{};
  // A device that never stops sending must not keep the typist from being heard: the rest is for the next
  // call.
  for (std::size_t taken = 0; taken < kMostAtOnce;) {
    const ssize_t got = ::read(fd_, bytes.data(), bytes.size());
    if (got > 0) {
      lines.feed({bytes.data(), static_cast<std::size_t>(got)});
      taken += static_cast<std::size_t>(got);
      continue;
    }
    if (got < 0 && errno == EINTR) continue;
    if (got < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) return State::there;
    if (got == 0 && grows_) {
      begin_again_if_shorter();
      return State::there;
    }
    lose();
    return State::gone;
  }
  return State::there;
}

}  // namespace clampbook::cli
