#include "cli/convert_lines.h"

#include <clampbook/text/diagnostic.h>
#include <clampbook/text/error.h>
#include <clampbook/text/json.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <istream>
#include <memory>
#include <ostream>
#include <string>
#include <string_view>

namespace clampbook::cli {

namespace {

using units::MeasuredScan;
using units::Unit;

constexpr std::size_t kBlock = 1 << 16;
constexpr int kTextDigits = 6;

// A line of several kilobytes holds no quantity; no more than this of one is kept.
constexpr std::size_t kLongestLine = 4096;

class LineConverter {
 public:
  LineConverter(std::ostream& out, std::ostream& err, const LineConversion& how)
      : out_(out), err_(err), how_(how) {}

  void line(std::string_view text) {
    ++number_;
    if (number_ == 1 && text.starts_with("\uFEFF")) text.remove_prefix(3);
    if (text.ends_with('\r')) text.remove_suffix(1);
    if (text.find_first_not_of(" \t") == std::string_view::npos) return;
    if (text.size() > kLongestLine) return refuse_length(text);
    MeasuredScan scan = units::scan_whole_measured(text);
    if (!scan) return refuse(text, scan);
    const Unit& to = how_.target != nullptr ? *how_.target : beside(scan);
    if (to.dimension != scan.unit->dimension) return refuse_dimension(text, scan, to);
    const double result = units::convert(scan.number, *scan.unit, to);
    if (!std::isfinite(result)) return refuse_size(text, scan, to);
    if (how_.json) {
      write_json(scan, to, result);
    } else {
      write_text(text, scan, to, result);
    }
  }

  // Everything so far leaves the program.
  void flush() {
    if (!answers_.empty()) {
      out_.write(answers_.data(), static_cast<std::streamsize>(answers_.size()));
      out_.flush();
    }
    if (!complaints_.empty()) err_ << complaints_ << std::flush;
    answers_.clear();
    complaints_.clear();
    if (!out_) throw StoreError({.slug = "output-failed", .message = "the results could not be written"});
  }

  [[nodiscard]] std::size_t bad() const { return bad_; }

 private:
  // Lines come in runs of one unit; its partner is then the same, but for torques, where it hangs on size.
  const Unit& beside(const MeasuredScan& scan) {
    if (scan.unit == last_unit_ && scan.unit->dimension != units::Dimension::torque) return *last_beside_;
    last_unit_ = scan.unit;
    last_beside_ = &units::counterpart({scan.number, *scan.unit});
    return *last_beside_;
  }

  template <class Number, class... How>
  void append(Number number, How... how) {
    std::array<char, 64> buffer;  // NOLINT(cppcoreguidelines-pro-type-member-init): written before it is read
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, how...).ptr;
    answers_.append(buffer.data(), end);
  }

  void append_unit(const Unit& unit) {
    const std::string_view word = how_.ascii ? unit.ascii : unit.spelling;
    if (!word.empty() && word != "°") answers_ += ' ';
    answers_ += word;
  }

  void write_text(std::string_view text, const MeasuredScan& scan, const Unit& to, double result) {
    answers_.append(text.substr(scan.number_at, scan.number_end - scan.number_at));
    append_unit(*scan.unit);
    answers_ += " = ";
    // The fast way is right where six digits need neither exponent nor padding.
    const double size = std::fabs(result);
    if (size >= 1e-4 && size < 999999) {
      append(result, std::chars_format::general, kTextDigits);
    } else {
      answers_ += units::significant(result, kTextDigits);
    }
    append_unit(to);
    answers_ += '\n';
  }

  void write_json(const MeasuredScan& scan, const Unit& to, double result) {
    answers_ += "{\"line\":";
    append(number_);
    answers_ += ",\"value\":";
    text::append_json_number(answers_, scan.number);
    answers_.append(",\"from\":\"").append(scan.unit->spelling).append("\",\"to\":\"").append(to.spelling);
    answers_ += "\",\"result\":";
    text::append_json_number(answers_, result);
    answers_ += "}\n";
  }

  [[gnu::cold]] void refuse(std::string_view text, const MeasuredScan& scan) {
    ++bad_;
    if (how_.json) {
      text::Json error = text::Json::object();
      error.set("slug", scan.slug).set("text", scan.message);
      text::Json object = text::Json::object();
      object.set("line", number_).set("error", std::move(error));
      object.dump_to(answers_);
      answers_ += '\n';
      return;
    }
    const auto source = std::make_shared<const text::Source>("standard input", std::string(text),
                                                             text::Source::Kind::file, number_);
    const std::string shown = text::render({.slug = std::string(scan.slug),
                                            .message = scan.message,
                                            .help = scan.help,
                                            .at = text::Location{source, scan.fault_at, scan.fault_length}});
    complaints_ += how_.ascii ? text::to_ascii(shown) : shown;
  }

  [[gnu::cold]] void refuse_length(std::string_view text) {
    MeasuredScan scan;
    scan.slug = "too-large";
    scan.message = fmt::format("the line is longer than {} bytes", kLongestLine);
    refuse(text.substr(0, kLongestLine), scan);
  }

  [[gnu::cold]] void refuse_dimension(std::string_view text, MeasuredScan& scan, const Unit& to) {
    scan.slug = "wrong-dimension";
    scan.message =
        fmt::format("{} cannot be expressed in {}", with_article(scan.unit->dimension), to.spelling);
    scan.help = fmt::format("{} is a unit of {}", to.spelling, name(to.dimension));
    refuse_all(text, scan);
  }

  [[gnu::cold]] void refuse_size(std::string_view text, MeasuredScan& scan, const Unit& to) {
    scan.slug = "bad-number";
    scan.message = fmt::format("the value is too large to be given in {}", to.spelling);
    refuse_all(text, scan);
  }

  void refuse_all(std::string_view text, MeasuredScan& scan) {
    scan.fault_at = scan.number_at;
    scan.fault_length = scan.end - scan.number_at;
    refuse(text, scan);
  }

  std::ostream& out_;
  std::ostream& err_;
  const LineConversion& how_;
  std::string answers_{};
  std::string complaints_{};
  std::size_t number_ = 0;
  std::size_t bad_ = 0;
  const Unit* last_unit_ = nullptr;
  const Unit* last_beside_ = nullptr;
};

// What is there already, or else the next block: a person who types a line is answered at once.
std::size_t read_some(std::streambuf& from, char* to, std::size_t size) {
  if (from.sgetc() == std::streambuf::traits_type::eof()) return 0;
  const std::streamsize there = from.in_avail();
  const auto wanted = static_cast<std::streamsize>(size);
  return static_cast<std::size_t>(from.sgetn(to, there > 0 && there < wanted ? there : wanted));
}

}  // namespace

std::size_t convert_lines(std::istream& in, std::ostream& out, std::ostream& err, const LineConversion& how) {
  LineConverter converter(out, err, how);
  std::string block(kBlock, '\0');
  std::string carried;  // the beginning of a line whose end has not come yet
  while (const std::size_t size = read_some(*in.rdbuf(), block.data(), block.size())) {
    std::string_view rest(block.data(), size);
    for (std::size_t end = rest.find('\n'); end != std::string_view::npos; end = rest.find('\n')) {
      if (carried.empty()) {
        converter.line(rest.substr(0, end));
      } else {
        converter.line(carried.append(rest.substr(0, end)));
        carried.clear();
      }
      rest.remove_prefix(end + 1);
    }
    // More of an endless line than can be shown is not kept either.
    if (carried.size() <= kLongestLine) carried.append(rest);
    converter.flush();
  }
  if (!carried.empty()) converter.line(carried);
  converter.flush();
  return converter.bad();
}

}  // namespace clampbook::cli
