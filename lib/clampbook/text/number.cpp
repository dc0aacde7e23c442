#include <clampbook/text/number.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <stdexcept>

namespace clampbook::text {

namespace {

constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

std::size_t digits(std::string_view text, std::size_t at) {
  std::size_t end = at;
  while (end < text.size() && is_digit(text[end])) ++end;
  return end - at;
}

// The same, and the digits appended to `number`, whose value means nothing behind the nineteenth digit.
std::size_t digits(std::string_view text, std::size_t at, std::uint64_t& number) {
  std::size_t end = at;
  for (; end < text.size() && is_digit(text[end]); ++end)
    number = number * 10 + static_cast<std::uint64_t>(text[end] - '0');
  return end - at;
}

// A whole number of that many digits and a power of ten up to it are exact doubles: one division of the two
// rounds once, to the same double that std::from_chars finds with more work.
constexpr std::size_t kExactDigits = 15;
constexpr std::array<double, kExactDigits + 1> kPowersOfTen{1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                            1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

bool starts_with_foreign_minus(std::string_view text) {
  if (text.empty() || text.front() != '\xE2') return false;
  return text.starts_with("\u2212") || text.starts_with("\u2013") || text.starts_with("\u2010") ||
         text.starts_with("\u2011");
}

// How far digits, points and commas go on in a number that will be refused, so that all of it can be named: a
// mark counts when a digit follows it.
std::size_t end_of_figures(std::string_view text, std::size_t at) {
  while (at < text.size() &&
         (is_digit(text[at]) || ((text[at] == ',' || text[at] == '.') && digits(text, at + 1) > 0)))
    ++at;
  return at;
}

}  // namespace

NumberScan scan_number_prefix(std::string_view text) {
  if (starts_with_foreign_minus(text) && digits(text, 3) > 0)
    return {0, end_of_figures(text, 3), NumberFault::minus_sign};
  std::size_t at = 0;
  if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
  const std::size_t first = at;
  std::uint64_t figures = 0;
  const std::size_t whole = digits(text, at, figures);
  at += whole;
  if (whole == 0) {
    if (at < text.size() && text[at] == '.' && digits(text, at + 1) > 0)
      return {0, at + 1 + digits(text, at + 1), NumberFault::bare_point};
    return {0, 0, NumberFault::missing};
  }
  if (at < text.size() && text[at] == ',' && digits(text, at + 1) > 0)
    return {0, end_of_figures(text, at), NumberFault::decimal_comma};
  if (whole == 1 && text[first] == '0' && at + 1 < text.size() && (text[at] == 'x' || text[at] == 'X') &&
      std::isxdigit(static_cast<unsigned char>(text[at + 1])) != 0) {
    std::size_t end = at + 1;
    while (end < text.size() && std::isxdigit(static_cast<unsigned char>(text[end])) != 0) ++end;
    return {0, end, NumberFault::hexadecimal};
  }
  std::size_t fraction = 0;
  // A point belongs to the number unless a second one follows: "27..29" is a range.
  if (at < text.size() && text[at] == '.' && !(at + 1 < text.size() && text[at + 1] == '.')) {
    fraction = digits(text, at + 1, figures);
    if (fraction == 0) return {0, at + 1, NumberFault::bare_point};
    at += 1 + fraction;
    if (at < text.size() && text[at] == ',' && digits(text, at + 1) > 0)
      return {0, end_of_figures(text, at), NumberFault::decimal_comma};
    if (at < text.size() && text[at] == '.' && digits(text, at + 1) > 0)
      return {0, end_of_figures(text, at), NumberFault::second_point};
  }
  bool has_exponent = false;
  if (at < text.size() && (text[at] == 'e' || text[at] == 'E')) {
    std::size_t exponent = at + 1;
    if (exponent < text.size() && (text[exponent] == '+' || text[exponent] == '-')) ++exponent;
    if (const std::size_t n = digits(text, exponent); n > 0) {
      at = exponent + n;
      has_exponent = true;
    }
  }
  if (whole > 1 && text[first] == '0') return {0, at, NumberFault::leading_zero};

  if (whole + fraction <= kExactDigits && !has_exponent) {
    const double size = static_cast<double>(static_cast<std::int64_t>(figures)) / kPowersOfTen[fraction];
    return {text.front() == '-' ? -size : size, at};
  }

  const std::size_t skip = text.front() == '+' ? 1 : 0;  // from_chars takes no plus sign
  double value = 0;
  const auto read = std::from_chars(text.data() + skip, text.data() + at, value);
  if (read.ec != std::errc() || !std::isfinite(value)) return {0, at, NumberFault::out_of_range};
  return {value, at, NumberFault::none};
}

NumberScan scan_number(std::string_view text) {
  NumberScan scan = scan_number_prefix(text);
  if (scan && scan.length != text.size()) return {0, text.size(), NumberFault::trailing};
  return scan;
}

std::string describe(NumberFault fault, std::string_view written) {
  switch (fault) {
    case NumberFault::none:
      return {};
    case NumberFault::missing:
      return written.empty() ? std::string("a number is missing")
                             : fmt::format("'{}' is not a number", written);
    case NumberFault::decimal_comma:
      return fmt::format("'{}' is written with a decimal comma", written);
    case NumberFault::bare_point:
      return fmt::format("'{}' has a point without digits on both sides", written);
    case NumberFault::second_point:
      return fmt::format("'{}' has more than one decimal point", written);
    case NumberFault::leading_zero:
      return fmt::format("'{}' begins with a zero that does not belong there", written);
    case NumberFault::hexadecimal:
      return fmt::format("'{}' is hexadecimal; numbers are decimal here", written);
    case NumberFault::out_of_range:
      return fmt::format("'{}' is too large or too small to be kept", written);
    case NumberFault::minus_sign:
      return fmt::format("'{}' begins with a dash that is not a minus sign", written);
    case NumberFault::trailing:
      return fmt::format("'{}' is not a number to its end", written);
  }
  throw std::logic_error("a number fault without a description");
}

std::string suggest(NumberFault fault, std::string_view written) {
  std::string text(written);
  switch (fault) {
    case NumberFault::decimal_comma:
      // 1,500 is three halves to one reader and fifteen hundred to another: say both.
      if (const std::size_t comma = text.find(',');
          comma != std::string::npos && text.size() - comma == 4 && text.find('.') > text.size()) {
        std::string joined = text;
        joined.erase(comma, 1);
        text[comma] = '.';
        return fmt::format("use a decimal point: {}; or no thousands mark: {}", text, joined);
      }
      std::replace(text.begin(), text.end(), ',', '.');
      if (std::count(text.begin(), text.end(), '.') > 1) return "use one decimal point and no thousands mark";
      return fmt::format("use a decimal point: {}", text);
    case NumberFault::bare_point: {
      const std::size_t point = text.find('.');
      if (point == std::string::npos) return {};
      const bool front = point > 0 && is_digit(text[point - 1]);
      if (!front && point + 1 < text.size() && is_digit(text[point + 1])) {
        text.insert(point, "0");
      } else if (front && point + 1 == text.size()) {
        text.pop_back();
      } else {
        return {};  // "5.x": who knows what was meant
      }
      return fmt::format("write {}", text);
    }
    case NumberFault::second_point: {
      // Either point may be the slip: say both.
      const std::size_t first = text.find('.'), second = text.find('.', first + 1);
      if (text.find_first_of(".,", second + 1) != std::string::npos)
        return "write one decimal point, for example 12.5";
      std::string late = text;
      text.erase(second, 1);
      late.erase(first, 1);
      return fmt::format("write one decimal point: {} or {}", text, late);
    }
    case NumberFault::leading_zero: {
      const std::size_t sign = text.front() == '+' || text.front() == '-' ? 1 : 0;
      std::size_t zeros = sign;
      while (zeros + 1 < text.size() && text[zeros] == '0' && is_digit(text[zeros + 1])) ++zeros;
      text.erase(sign, zeros - sign);
      return fmt::format("write {}", text);
    }
    case NumberFault::minus_sign:
      return fmt::format("write -{}", text.substr(std::min<std::size_t>(3, text.size())));
    default:
      return {};
  }
}

std::string_view slug(NumberFault fault) {
  return fault == NumberFault::decimal_comma ? "decimal-comma" : "bad-number";
}

std::string shortest(double value) {
  std::array<char, 64> buffer{};
  const double size = std::fabs(value);
  const auto form =
      size != 0 && (size < 1e-5 || size >= 1e15) ? std::chars_format::scientific : std::chars_format::fixed;
  const auto written = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, form);
  return {buffer.data(), written.ptr};
}

}  // namespace clampbook::text
