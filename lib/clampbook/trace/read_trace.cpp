#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/text/words.h>
#include <clampbook/trace/read_trace.h>
#include <clampbook/units/quantities.h>
#include <clampbook/units/unit.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <istream>
#include <limits>
#include <memory>
#include <optional>
#include <string_view>
#include <utility>

namespace clampbook::trace {

namespace {

constexpr std::size_t kBlock = 1 << 17;
constexpr std::size_t kLongestRow = 1 << 16;
// No wrench turns or pulls so far; sums of squares stay exact enough below.
constexpr double kLargest = 1e7;

enum class Role { skipped, time, angle, torque };

struct ColumnWord {
  std::string_view name;
  Role role;
  double scale;  // to seconds, degrees, N·m
};

constexpr std::array kColumns{
    ColumnWord{"time_s", Role::time, 1},
    ColumnWord{"time_ms", Role::time, 1e-3},
    ColumnWord{"angle_deg", Role::angle, 1},
    ColumnWord{"angle_rad", Role::angle, 180 / units::kPi},
    ColumnWord{"angle_turn", Role::angle, 360},
    ColumnWord{"torque_Nm", Role::torque, 1},
    ColumnWord{"torque_ftlb", Role::torque, units::foot_pound.si},
    ColumnWord{"torque_inlb", Role::torque, units::inch_pound.si},
    ColumnWord{"torque_kgfm", Role::torque, 9.80665},
};

struct Column {
  Role role = Role::skipped;
  double scale = 1;
};

struct Row {
  double seconds = 0;
  Sample sample{};
};

std::string_view trimmed(std::string_view cell) {
  while (!cell.empty() && (cell.front() == ' ' || cell.front() == '\t')) cell.remove_prefix(1);
  while (!cell.empty() && (cell.back() == ' ' || cell.back() == '\t')) cell.remove_suffix(1);
  if (cell.size() >= 2 && cell.front() == '"' && cell.back() == '"') cell = cell.substr(1, cell.size() - 2);
  return cell;
}

bool means_nothing(std::string_view cell) {
  if (cell.empty() || cell == "-") return true;
  if (cell.front() == '-' || cell.front() == '+') cell.remove_prefix(1);
  std::string lower(cell);
  for (char& c : lower)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return lower == "nan" || lower == "na" || lower == "n/a" || lower == "null" || lower == "inf" ||
         lower == "infinity";
}

// Rows that were written a little out of order come out in order; what steps back far is a clock that began
// anew, and stays where it stands.
class TimeOrder {
 public:
  explicit TimeOrder(CurveBuilder& to) : to_(to) {}

  void add(const Row& row) {
    if (count_ > 0 && row.seconds < rows_[count_ - 1].seconds) return insert(row);
    if (count_ == kDepth) release(kDepth / 2);
    rows_[count_++] = row;
  }
  void flush() { release(count_); }
  [[nodiscard]] std::size_t moved() const { return moved_; }

 private:
  static constexpr std::size_t kDepth = 64;

  void insert(const Row& row) {
    if (row.seconds < rows_[0].seconds) {
      flush();
      rows_[count_++] = row;
      return;
    }
    if (count_ == kDepth) {
      release(1);
    }
    std::size_t at = count_;
    for (; at > 0 && rows_[at - 1].seconds > row.seconds; --at) rows_[at] = rows_[at - 1];
    rows_[at] = row;
    ++count_;
    ++moved_;
  }
  void release(std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) to_.add(rows_[i].sample);
    std::copy(rows_.begin() + static_cast<std::ptrdiff_t>(count),
              rows_.begin() + static_cast<std::ptrdiff_t>(count_), rows_.begin());
    count_ -= count;
  }

  CurveBuilder& to_;
  std::array<Row, kDepth> rows_{};
  std::size_t count_ = 0, moved_ = 0;
};

class Reader {
 public:
  Reader(std::istream& in, const std::string& name) : in_(in), name_(name), order_(curve_) {}

  TraceFile read();

 private:
  void lines(const char* at, const char* end);
  const char* plain_row(const char* at);
  void line(std::string_view text);
  void header(std::string_view text);
  void column(std::string_view text, std::string_view cell);
  void require_columns(std::string_view text);
  void slow_row(std::string_view text);
  [[nodiscard]] std::optional<double> number(std::string_view text, std::string_view cell) const;
  void take(const Row& row);
  [[noreturn]] void refuse(std::string_view text, std::string_view where, std::string message,
                           std::string help = {}, std::string slug = "bad-csv") const;

  std::istream& in_;
  const std::string& name_;
  CurveBuilder curve_;
  TimeOrder order_;
  std::vector<Column> columns_{};
  std::size_t needed_ = 0;  // columns up to the last that is not skipped
  char separator_ = ',';
  bool has_time_ = false, last_line_ = false;
  std::size_t line_ = 0, rows_ = 0, dropped_ = 0;
  std::vector<std::string> skipped_{};
};

void Reader::refuse(std::string_view text, std::string_view where, std::string message, std::string help,
                    std::string slug) const {
  const std::string shown = text::with_valid_bytes(text.substr(0, 400));
  const std::size_t offset =
      where.empty() ? 0 : std::min(static_cast<std::size_t>(where.data() - text.data()), shown.size());
  const std::size_t length = std::min(std::max<std::size_t>(where.size(), 1), shown.size() - offset);
  const auto source = std::make_shared<const text::Source>(name_, shown, text::Source::Kind::file, line_);
  throw InputError(text::Diagnostic{.slug = std::move(slug),
                                    .message = std::move(message),
                                    .help = std::move(help),
                                    .at = text::Location{source, offset, length}});
}

TraceFile Reader::read() {
  std::string block(kBlock, '\0');
  std::size_t kept = 0;
  bool first = true;
  for (;;) {
    in_.read(block.data() + kept, static_cast<std::streamsize>(block.size() - kept));
    const auto got = static_cast<std::size_t>(in_.gcount());
    if (got == 0) break;
    std::string_view have(block.data(), kept + got);
    if (std::exchange(first, false) && have.starts_with("\xEF\xBB\xBF")) have.remove_prefix(3);
    const std::size_t last = have.rfind('\n');
    if (last == std::string_view::npos) {
      if (have.size() > kLongestRow) {
        ++line_;
        refuse(have, have.substr(0, 1), "the row is too long: over 65536 bytes without a line end");
      }
      kept = have.size();
    } else {
      lines(have.data(), have.data() + last + 1);
      kept = have.size() - last - 1;
    }
    std::memmove(block.data(), have.data() + have.size() - kept, kept);
  }
  if (in_.bad())
    throw InputError(
        text::Diagnostic{.slug = "unreadable-file", .message = "cannot be read to its end", .file = name_});
  last_line_ = true;
  if (kept > 0) line({block.data(), kept});
  if (columns_.empty()) {
    line_ = std::max<std::size_t>(line_, 1);
    refuse("", "", "the file is empty: no line names its columns",
           "begin it with: time_s,angle_deg,torque_Nm");
  }
  if (rows_ == 0) refuse("", "", "no row below the header holds an angle and a torque");
  order_.flush();
  TraceFile out{curve_.finish()};
  if (dropped_ > 0)
    out.notes.push_back(fmt::format("{} rows with an empty cell or no number: left out", dropped_));
  if (order_.moved() > 0)
    out.notes.push_back(fmt::format("{} rows stand out of order in time: put in order", order_.moved()));
  if (!skipped_.empty()) out.notes.push_back(fmt::format("columns not used: {}", fmt::join(skipped_, ", ")));
  return out;
}

// Whole lines, each with its line feed at its end.
void Reader::lines(const char* at, const char* end) {
  while (at < end) {
    if (!columns_.empty()) {
      if (const char* next = plain_row(at)) {
        ++line_;
        at = next;
        continue;
      }
    }
    const auto* line_end =
        static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at)));
    line({at, static_cast<std::size_t>(line_end - at)});
    at = line_end + 1;
  }
}

constexpr std::array<double, 16> kPowersOfTen{1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                              1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

// [-] digits [. digits] of at most fifteen figures: one exact division, as text::scan_number_prefix does it.
// Null for anything else; a line feed ends every line, so nothing is read beyond.
inline const char* plain_number(const char* at, double& value) {
  const bool minus = *at == '-';
  if (minus) ++at;
  std::uint64_t figures = 0;
  const char* const first = at;
  for (; static_cast<unsigned char>(*at - '0') < 10; ++at)
    figures = figures * 10 + static_cast<unsigned char>(*at - '0');
  std::size_t count = static_cast<std::size_t>(at - first);
  if (count == 0) return nullptr;
  std::size_t fraction = 0;
  if (*at == '.') {
    const char* const point = ++at;
    for (; static_cast<unsigned char>(*at - '0') < 10; ++at)
      figures = figures * 10 + static_cast<unsigned char>(*at - '0');
    fraction = static_cast<std::size_t>(at - point);
    if (fraction == 0) return nullptr;
    count += fraction;
  }
  if (count > 15 || (first[0] == '0' && static_cast<std::size_t>(count - fraction) > 1)) return nullptr;
  const double size = static_cast<double>(static_cast<std::int64_t>(figures)) / kPowersOfTen[fraction];
  value = minus ? -size : size;
  return at;
}

// A row of plain numbers and nothing else: nearly all are. Returns the next line, or null for a closer look.
const char* Reader::plain_row(const char* at) {
  Row row;
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    double value = 0;
    at = plain_number(at, value);
    if (at == nullptr) return nullptr;
    const Column& column = columns_[i];
    if (column.role == Role::angle) {
      row.sample.degrees = value * column.scale;
    } else if (column.role == Role::torque) {
      row.sample.newton_metres = value * column.scale;
    } else if (column.role == Role::time) {
      row.seconds = value * column.scale;
    }
    if (i + 1 < columns_.size()) {
      if (*at++ != separator_) return nullptr;
    }
  }
  if (*at == '\r') ++at;
  if (*at != '\n') return nullptr;
  if (std::fabs(row.sample.degrees) > kLargest || std::fabs(row.sample.newton_metres) > kLargest)
    return nullptr;
  take(row);
  return at + 1;
}

void Reader::take(const Row& row) {
  ++rows_;
  if (has_time_) {
    order_.add(row);
  } else {
    curve_.add(row.sample);
  }
  if (curve_.full())
    refuse("", "",
           fmt::format("the angle runs through more than {} turns",
                       static_cast<int>(CurveBuilder::kBin * CurveBuilder::kMostBins / 360)),
           "is this one pull, and is the angle in the unit that the header names?", "too-large");
}

void Reader::line(std::string_view text) {
  ++line_;
  if (text.ends_with('\r')) text.remove_suffix(1);
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos || text[first] == '#') return;
  if (text.size() > kLongestRow) refuse(text, text.substr(0, 1), "the row is too long: over 65536 bytes");
  if (columns_.empty()) {
    header(text);
  } else {
    slow_row(text);
  }
}

void Reader::header(std::string_view text) {
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF") ||
      text.find('\0') != std::string_view::npos)
    refuse(text, text.substr(0, 1), "the file is not UTF-8 text", "save it as CSV in UTF-8", "not-utf8");
  for (const char candidate : {';', '\t', ','}) {
    separator_ = candidate;
    if (text.find(candidate) != std::string_view::npos) break;
  }
  std::size_t at = 0;
  for (;;) {
    const std::size_t end = std::min(text.find(separator_, at), text.size());
    column(text, text.substr(at, end - at));
    if (end == text.size()) break;
    at = end + 1;
  }
  require_columns(text);
}

void Reader::column(std::string_view text, std::string_view cell) {
  const std::string_view word = trimmed(cell);
  if (!word.empty() &&
      (word.front() == '-' || word.front() == '+' || (word.front() >= '0' && word.front() <= '9')) &&
      text::scan_number_prefix(word).length > 0)
    refuse(text, cell, "the file has no header: its first line is of numbers",
           "name the columns in a line above, for example: time_s,angle_deg,torque_Nm");
  for (const ColumnWord& known : kColumns) {
    if (word != known.name) continue;
    for (const Column& other : columns_)
      if (other.role == known.role)
        refuse(text, cell, fmt::format("'{}' is a second column of the same kind", word), "keep one");
    columns_.push_back({known.role, known.scale});
    needed_ = columns_.size();
    return;
  }
  if (word.starts_with("time") || word.starts_with("angle") || word.starts_with("torque")) {
    std::vector<std::string_view> names;
    for (const ColumnWord& known : kColumns) names.push_back(known.name);
    std::string help = text::did_you_mean(word, names);
    if (help.empty()) help = fmt::format("one of {}", fmt::join(names, ", "));
    refuse(text, cell,
           fmt::format("'{}' is no column that is known here", text::printable(text::with_valid_bytes(word))),
           help);
  }
  if (!word.empty() && skipped_.size() < 20)
    skipped_.push_back(text::printable(text::with_valid_bytes(word.substr(0, 40))));
  columns_.push_back({});
}

void Reader::require_columns(std::string_view text) {
  const auto has = [&](Role role) {
    return std::any_of(columns_.begin(), columns_.end(), [&](const Column& c) { return c.role == role; });
  };
  if (!has(Role::angle) || !has(Role::torque))
    refuse(text, text, fmt::format("the header names no {}", has(Role::angle) ? "torque" : "angle"),
           "name the columns in the first line, for example: time_s,angle_deg,torque_Nm");
  has_time_ = has(Role::time);
}

void Reader::slow_row(std::string_view text) {
  Row row;
  bool whole = true;
  std::size_t at = 0, cells = 0;
  bool ended = false;
  for (; cells < columns_.size() && !ended; ++cells) {
    const std::size_t end = std::min(text.find(separator_, at), text.size());
    ended = end == text.size();
    const std::string_view cell = text.substr(at, end - at);
    at = end + 1;
    const Column& column = columns_[cells];
    if (column.role == Role::skipped) continue;
    // A file that was cut off ends in half a row.
    const auto value = last_line_ && ended && cells + 1 < needed_ ? std::nullopt : number(text, cell);
    if (!value) {
      whole = false;
    } else if (column.role == Role::time) {
      row.seconds = *value * column.scale;
    } else if (column.role == Role::angle) {
      row.sample.degrees = *value * column.scale;
    } else {
      row.sample.newton_metres = *value * column.scale;
    }
  }
  if (!ended) {
    const std::string_view rest = text.substr(at);
    if (rest.find_first_not_of(" \t" + std::string(1, separator_)) != std::string_view::npos)
      refuse(text, rest,
             fmt::format("the row has more cells than the header, which names {}", columns_.size()),
             separator_ == ',' ? "a decimal comma needs semicolons between the cells" : "");
  }
  if (cells < needed_ && !last_line_)
    refuse(text, text,
           fmt::format("the row has {} cell{}; the header names {}", cells, cells == 1 ? "" : "s",
                       columns_.size()));
  if (!whole || cells < needed_) {
    ++dropped_;
    return;
  }
  const double size = std::max(std::fabs(row.sample.degrees), std::fabs(row.sample.newton_metres));
  if (size > kLargest)
    refuse(text, text, "the row holds a figure beyond 1e7: no wrench turns or pulls so far");
  take(row);
}

// Nothing for a cell that says that there is no number.
std::optional<double> Reader::number(std::string_view text, std::string_view cell) const {
  const std::string_view word = trimmed(cell);
  if (means_nothing(word)) return std::nullopt;
  std::string plain(word);
  if (separator_ == ';' && plain.find('.') == std::string::npos)
    std::replace(plain.begin(), plain.end(), ',', '.');
  // Loggers leave the zero out, and some write one too many: both are plain here, where no unit hangs on it.
  const std::size_t sign = plain.starts_with('-') || plain.starts_with('+') ? 1 : 0;
  if (plain.size() > sign && plain[sign] == '.') plain.insert(sign, "0");
  if (plain.ends_with('.')) plain.pop_back();
  while (plain.size() > sign + 1 && plain[sign] == '0' && plain[sign + 1] >= '0' && plain[sign + 1] <= '9')
    plain.erase(sign, 1);
  const text::NumberScan scan = text::scan_number(plain);
  if (scan) return scan.value;
  const std::string shown = text::with_valid_bytes(word.substr(0, 60));
  const std::string help = scan.fault == text::NumberFault::decimal_comma
                               ? "a decimal comma only with semicolons between the cells"
                               : text::suggest(scan.fault, shown);
  refuse(text, cell, text::describe(scan.fault, text::printable(shown)), help);
}

}  // namespace

TraceFile read_trace(std::istream& in, const std::string& name) {
  return Reader(in, name).read();
}

}  // namespace clampbook::trace
