#include "cli/convert_lines.h"

#include <clampbook/text/diagnostic.h>
#include <clampbook/text/error.h>
#include <clampbook/text/json.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <istream>
#include <memory>
#include <ostream>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace clampbook::cli {

namespace {

using units::MeasuredScan;
using units::Unit;

constexpr std::size_t kBlock = 1 << 16;
constexpr int kTextDigits = 6;

// A line of several kilobytes holds no quantity; no more than this of one is kept.
constexpr std::size_t kLongestLine = 4096;

// The unit behind a number, remembered by the bytes that spelled it: files repeat a handful of endings, and
// what an ending means does not hang on the number before it.
class TailCache {
 public:
  [[nodiscard]] const Unit* find(std::string_view tail) const {
    const std::uint64_t key = pack(tail);
    const Slot& slot = slots_[home(key)];
    return key != 0 && slot.key == key ? slot.unit : nullptr;
  }
  void keep(std::string_view tail, const Unit& unit) {
    if (const std::uint64_t key = pack(tail)) slots_[home(key)] = {key, &unit};
  }

 private:
  struct Slot {
    std::uint64_t key = 0;
    const Unit* unit = nullptr;
  };
  static constexpr std::size_t kSize = 64;
  static std::size_t home(std::uint64_t key) { return key * 0x9E3779B97F4A7C15u >> 58; }
  // 0 for a tail that is not kept.
  static std::uint64_t pack(std::string_view tail) {
    if (tail.empty() || tail.size() > sizeof(std::uint64_t) || tail.front() == '\0') return 0;
    std::uint64_t key = 0;
    for (const char c : tail) key = key << 8 | static_cast<unsigned char>(c);
    return key;
  }
  std::array<Slot, kSize> slots_{};
};

class LineConverter {
 public:
  LineConverter(std::ostream& out, std::ostream& err, const LineConversion& how)
      : out_(out), err_(err), how_(how) {}

  void line(std::string_view text) {
    ++number_;
    if (number_ == 1 && text.starts_with("\uFEFF")) text.remove_prefix(3);
    if (text.ends_with('\r')) text.remove_suffix(1);
    if (text.empty() || (text.front() <= ' ' && text.find_first_not_of(" \t") == std::string_view::npos))
      return;
    if (text.size() > kLongestLine) return refuse_length(text);
    if (const text::NumberScan number = text::scan_number_prefix(text)) {
      if (const Unit* unit = tails_.find(text.substr(number.length)))
        return convert(text, text.substr(0, number.length), number.value, *unit);
    }
    const MeasuredScan scan = units::scan_whole_measured(text);
    if (!scan) return refuse(text, scan);
    tails_.keep(text.substr(scan.number_end), *scan.unit);
    convert(text, text.substr(scan.number_at, scan.number_end - scan.number_at), scan.number, *scan.unit);
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
  void convert(std::string_view text, std::string_view number, double value, const Unit& from) {
    const Unit& to = how_.target != nullptr ? *how_.target : beside(value, from);
    if (to.dimension != from.dimension) return refuse_dimension(text, from, to);
    const double result = units::convert(value, from, to);
    if (!std::isfinite(result)) return refuse_size(text, to);
    const Phrase& phrase = phrase_for(from, to);
    if (how_.json) {
      answers_ += "{\"line\":";
      const fmt::format_int line(number_);
      answers_.append(line.data(), line.size());
      answers_ += ",\"value\":";
      // A number that the strict scan accepts is one of JSON, but for a plus sign.
      answers_ += number.substr(number.front() == '+' ? 1 : 0);
      if (number.find_first_of(".eE") == std::string_view::npos) answers_ += ".0";
      answers_ += phrase.middle;
      text::append_json_number(answers_, result);
    } else {
      answers_ += number;
      answers_ += phrase.middle;
      units::append_significant(answers_, result, kTextDigits);
    }
    answers_ += phrase.end;
  }

  // Lines come in runs of one unit; its partner is then the same, but for torques, where it hangs on size.
  const Unit& beside(double value, const Unit& from) {
    if (&from == last_unit_ && from.dimension != units::Dimension::torque) return *last_beside_;
    last_unit_ = &from;
    last_beside_ = &units::counterpart({value, from});
    return *last_beside_;
  }

  // What stands between the two numbers and behind them, made once for each pair of units.
  struct Phrase {
    const Unit* to = nullptr;
    std::string middle{};
    std::string end{};
  };

  const Phrase& phrase_for(const Unit& from, const Unit& to) {
    Phrase& phrase = phrases_[static_cast<std::size_t>(&from - units::all_units().data())];
    if (phrase.to == &to) return phrase;
    phrase.to = &to;
    if (how_.json) {
      phrase.middle = fmt::format(R"(,"from":"{}","to":"{}","result":)", from.spelling, to.spelling);
      phrase.end = "}\n";
    } else {
      phrase.middle = units::with_unit("", from, how_.ascii) + " = ";
      phrase.end = units::with_unit("", to, how_.ascii) + "\n";
    }
    return phrase;
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

  [[gnu::cold]] void refuse_dimension(std::string_view text, const Unit& from, const Unit& to) {
    refuse_all(text, "wrong-dimension",
               fmt::format("{} cannot be expressed in {}", with_article(from.dimension), to.spelling),
               fmt::format("{} is a unit of {}", to.spelling, name(to.dimension)));
  }

  [[gnu::cold]] void refuse_size(std::string_view text, const Unit& to) {
    refuse_all(text, "bad-number", fmt::format("the value is too large to be given in {}", to.spelling), {});
  }

  void refuse_all(std::string_view text, std::string_view slug, std::string message, std::string help) {
    MeasuredScan scan;
    scan.slug = slug;
    scan.message = std::move(message);
    scan.help = std::move(help);
    scan.fault_length = text.size();
    refuse(text, scan);
  }

  std::ostream& out_;
  std::ostream& err_;
  const LineConversion& how_;
  std::string answers_{};
  std::string complaints_{};
  std::size_t number_ = 0;
  std::size_t bad_ = 0;
  TailCache tails_{};
  std::vector<Phrase> phrases_ = std::vector<Phrase>(units::all_units().size());
  const Unit* last_unit_ = nullptr;
  const Unit* last_beside_ = nullptr;
};

// What is there already, or else the next block: a person who types a line is answered at once.
std::size_t read_some(std::istream& in, char* to, std::size_t size) {
  if (in.peek() == std::istream::traits_type::eof()) return 0;
  const std::streamsize there = in.rdbuf()->in_avail();
  const auto wanted = static_cast<std::streamsize>(size);
  in.read(to, there > 0 && there < wanted ? there : wanted);
  return static_cast<std::size_t>(in.gcount());
}

}  // namespace

std::size_t convert_lines(std::istream& in, std::ostream& out, std::ostream& err, const LineConversion& how) {
  LineConverter converter(out, err, how);
  std::string block(kBlock, '\0');
  std::string carried;  // the beginning of a line whose end has not come yet
  while (const std::size_t size = read_some(in, block.data(), block.size())) {
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
  if (in.bad())
    throw InputError(text::Diagnostic{
        .slug = "unreadable-file", .message = "cannot be read to its end", .file = "standard input"});
  return converter.bad();
}

}  // namespace clampbook::cli
