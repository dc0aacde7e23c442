#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/measured.h>

#include <fmt/format.h>

#include <stdexcept>

namespace clampbook::units {

namespace {

double si_of(const Measured& written, Dimension needed) {
  if (written.dimension() != needed)
    throw std::logic_error(fmt::format("{} is not {}", written.unit().spelling, with_article(needed)));
  return written.si();
}

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// Bytes of the space at `at`: blank, tab or a no-break space; 0 when something else stands there.
std::size_t space_at(std::string_view text, std::size_t at) {
  if (at >= text.size()) return 0;
  if (text[at] == ' ' || text[at] == '\t') return 1;
  if (text[at] != '\xC2' && text[at] != '\xE2') return 0;
  if (text.substr(at).starts_with("\u00A0")) return 2;
  return text.substr(at).starts_with("\u202F") ? 3 : 0;
}

std::size_t skip_spaces(std::string_view text, std::size_t at) {
  while (const std::size_t n = space_at(text, at)) at += n;
  return at;
}

// A sign outside ASCII that parts quantities and never belongs to a unit: dashes, ± × … → and spaces.
bool parts(std::string_view rest) {
  if (space_at(rest, 0) > 0) return true;
  const char32_t c = text::take_character(rest);
  return c == U'±' || c == U'×' || (c >= 0x2010 && c <= 0x2015) || c == 0x2026 || c == 0x2192 ||
         c == 0x2212 || text::is_control(c);
}

// Bytes of the part of a word at `at`; 0 where the word ends. A sign that joins (N·m, ft-lb, N/mm) belongs to
// the word when a letter follows, so that ranges (27..29), slashes before a number and brackets end it; and
// so does a full stop behind the word, which is then refused with a hint.
std::size_t word_part(std::string_view text, std::size_t at) {
  const char c = text[at];
  if (is_letter(c) || is_digit(c) || c == '%' || c == '_') return 1;
  if (static_cast<unsigned char>(c) < 0x80) {
    const char next = at + 1 < text.size() ? text[at + 1] : ' ';
    if (c == '.') return next == '.' || is_digit(next) || next == ')' ? 0 : 1;
    const bool joins = c == '-' || c == '*' || c == '/' || c == '^';
    return joins && (is_letter(next) || (c == '^' && is_digit(next))) ? 1 : 0;
  }
  std::string_view rest = text.substr(at);
  if (parts(rest)) return 0;
  const std::size_t before = rest.size();
  static_cast<void>(text::take_character(rest));
  return before - rest.size();
}

// The end of the word that starts at `at`; `at` itself when no word starts there.
std::size_t word_end(std::string_view text, std::size_t at) {
  if (at >= text.size()) return at;
  const char first = text[at];
  if (!is_letter(first) && first != '%' && static_cast<unsigned char>(first) < 0x80) return at;
  while (at < text.size()) {
    const std::size_t n = word_part(text, at);
    if (n == 0) break;
    at += n;
  }
  return at;
}

// The end of a second word behind one space, as in "N m"; 0 when there is none.
std::size_t second_word_end(std::string_view text, std::size_t end) {
  const std::size_t space = space_at(text, end);
  if (space == 0 || end + space >= text.size() || !is_letter(text[end + space])) return 0;
  return word_end(text, end + space);
}

[[gnu::cold]] void refuse_number(MeasuredScan& scan, std::string_view text, const text::NumberScan& number) {
  std::size_t length = number.length;
  if (number.fault == text::NumberFault::missing) {
    std::size_t end = scan.number_at;
    while (end < text.size() && space_at(text, end) == 0) ++end;
    length = end - scan.number_at;
  }
  const std::string_view written = text.substr(scan.number_at, length);
  scan.slug = text::slug(number.fault);
  scan.message = text::describe(number.fault, written);
  scan.help = text::suggest(number.fault, written);
  scan.fault_at = scan.number_at;
  scan.fault_length = length;
  scan.number_end = scan.end = scan.number_at + length;
}

[[gnu::cold]] void refuse_unit(MeasuredScan& scan, std::string_view text, std::size_t at, std::size_t end) {
  // "newton metres" is best explained as a whole, when there is an explanation that is no guess.
  if (const std::size_t both = second_word_end(text, end)) {
    if (unit_help(text.substr(at, both - at)).starts_with("write ")) end = both;
  }
  const std::string_view word = text.substr(at, end - at);
  scan.slug = "unknown-unit";
  scan.message = fmt::format("unknown unit '{}'", word);
  scan.help = unit_help(word);
  scan.fault_at = at;
  scan.fault_length = end - at;
  scan.end = end;
}

}  // namespace

double Measured::si() const {
  return static_cast<double>((static_cast<long double>(value_) + unit_->offset) * unit_->factor);
}

template <>
Torque to<Torque>(const Measured& written) {
  return of(si_of(written, Dimension::torque), newton_metre);
}
template <>
Force to<Force>(const Measured& written) {
  return of(si_of(written, Dimension::force), newton);
}
template <>
Length to<Length>(const Measured& written) {
  return of(si_of(written, Dimension::length), metre);
}
template <>
Stress to<Stress>(const Measured& written) {
  return of(si_of(written, Dimension::stress), pascal);
}
template <>
Stiffness to<Stiffness>(const Measured& written) {
  return of(si_of(written, Dimension::stiffness), newton_per_metre);
}
template <>
Angle to<Angle>(const Measured& written) {
  return of(si_of(written, Dimension::angle), radian);
}
template <>
Duration to<Duration>(const Measured& written) {
  return of(si_of(written, Dimension::time), second);
}
template <>
Ratio to<Ratio>(const Measured& written) {
  return of(si_of(written, Dimension::ratio), one);
}
template <>
TemperaturePoint to<TemperaturePoint>(const Measured& written) {
  return TemperaturePoint::kelvin(si_of(written, Dimension::temperature));
}

MeasuredScan scan_measured(std::string_view text, std::size_t from) {
  MeasuredScan scan;
  scan.number_at = skip_spaces(text, from);
  const text::NumberScan number = text::scan_number_prefix(text.substr(scan.number_at));
  if (!number) {
    refuse_number(scan, text, number);
    return scan;
  }
  scan.number = number.value;
  scan.number_end = scan.end = scan.number_at + number.length;

  const std::size_t at = skip_spaces(text, scan.number_end);
  const std::size_t end = word_end(text, at);
  if (end == at) return scan;
  if (const std::size_t both = second_word_end(text, end)) {
    scan.unit = find_unit(text.substr(at, both - at));
    scan.end = both;
  }
  if (scan.unit == nullptr) {
    scan.unit = find_unit(text.substr(at, end - at));
    scan.end = end;
  }
  if (scan.unit == nullptr) refuse_unit(scan, text, at, end);
  return scan;
}

namespace {

// What to write instead of "12 3" or, as on a rule, "1 1/2 in"; nothing when neither is meant.
std::string help_on_two_numbers(std::string_view text, const MeasuredScan& first, std::size_t rest) {
  const bool second_number = is_digit(text[rest]);
  const std::size_t top_at = second_number ? rest : first.number_at;
  const text::NumberScan top = text::scan_number_prefix(text.substr(top_at));
  const std::size_t stroke = top_at + top.length;
  if (top && stroke < text.size() && text[stroke] == '/') {
    const text::NumberScan bottom = text::scan_number_prefix(text.substr(stroke + 1));
    if (bottom && bottom.value > 0)
      return fmt::format("write the fraction as a decimal: {:.6g}{}",
                         (second_number ? first.number : 0) + top.value / bottom.value,
                         text.substr(stroke + 1 + bottom.length));
  }
  return second_number ? "write the number without spaces inside" : "";
}

}  // namespace

MeasuredScan scan_whole_measured(std::string_view text, const Unit* fallback) {
  MeasuredScan scan = scan_measured(text);
  if (!scan) return scan;
  const std::size_t rest = skip_spaces(text, scan.end);
  if (rest < text.size()) {
    scan.slug = "wrong-shape";
    scan.message = "one number with its unit is wanted here, and more follows";
    if (scan.unit == nullptr) scan.help = help_on_two_numbers(text, scan, rest);
    scan.fault_at = rest;
    scan.fault_length = text.size() - rest;
    return scan;
  }
  if (scan.unit == nullptr) scan.unit = fallback;
  if (scan.unit == nullptr) {
    const std::string_view number = text.substr(scan.number_at, scan.number_end - scan.number_at);
    scan.slug = "missing-unit";
    scan.message = fmt::format("'{}' has no unit", number);
    scan.help = fmt::format("put the unit after the number, for example: {} N·m", number);
    scan.fault_at = scan.number_at;
    scan.fault_length = number.size();
  }
  return scan;
}

}  // namespace clampbook::units
