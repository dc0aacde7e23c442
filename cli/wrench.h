// Where readings come from: lines of a wrench on a serial device, a pipe or a file that grows.
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <string>
#include <string_view>

namespace clampbook::cli {

/// What `--wrench` says.
struct WrenchSource {
  enum class Kind { standard_input, path, serial };
  Kind kind = Kind::standard_input;
  std::string path{};
  unsigned baud = 9600;
};

/// "-", "PATH", "serial:DEV[,BAUD[,8N1]]". Throws UsageError: bad-option.
[[nodiscard]] WrenchSource parse_wrench_source(const std::string& word);

/// Bytes into lines. A line ends at CR, LF or CRLF; of one that is longer than `longest` the front is kept.
class LineBuffer {
 public:
  explicit LineBuffer(std::size_t longest) : longest_(longest) {}

  struct Line {
    std::string text;
    bool too_long = false;
  };

  void feed(std::string_view bytes);
  /// The next whole line.
  [[nodiscard]] std::optional<Line> take();
  /// What has come of a line that did not end, as when a cable was pulled out; nothing when there is none.
  [[nodiscard]] std::optional<Line> take_rest();

 private:
  std::size_t longest_;
  std::deque<Line> lines_;
  Line open_;
  bool began_ = false;     // something of a line has come
  bool after_cr_ = false;  // a line feed here belongs to the line before
};

/// A device or file that is read without waiting, and opened again when it has gone away.
class WrenchPort {
 public:
  /// Of a path or a serial device. Throws InputError (unreadable-file) when it can't be opened at the start.
  explicit WrenchPort(WrenchSource source);
  ~WrenchPort();
  WrenchPort(const WrenchPort&) = delete;
  WrenchPort& operator=(const WrenchPort&) = delete;

  enum class State { there, gone, back };

  /// To wait on, or -1 when there is nothing to wait on (a file that grows, a device that is away).
  [[nodiscard]] int descriptor() const;
  /// Takes what has come. `gone` and `back` are told once.
  State read(LineBuffer& lines);
  /// Bytes that stood in a file before it was opened: they are passed over.
  [[nodiscard]] std::size_t passed_over() const { return passed_over_; }
  [[nodiscard]] const WrenchSource& source() const { return source_; }

 private:
  bool open(bool first);
  void lose();
  void begin_again_if_shorter();

  WrenchSource source_;
  int fd_ = -1;
  bool grows_ = false;  // a regular file
  std::size_t passed_over_ = 0;
};

}  // namespace clampbook::cli
