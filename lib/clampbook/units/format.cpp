#include <clampbook/text/number.h>
#include <clampbook/units/format.h>
#include <clampbook/units/unit_table.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <stdexcept>

namespace clampbook::units {

namespace {

// A number as its significant digits (no zeros at the end) and the decimal exponent of the first.
struct Digits {
  bool negative = false;
  std::string digits{};
  int exponent = 0;
};

Digits digits_of(std::string_view scientific) {
  Digits out;
  if (scientific.starts_with('-')) {
    out.negative = true;
    scientific.remove_prefix(1);
  }
  const std::size_t e = scientific.find('e');
  for (const char c : scientific.substr(0, e))
    if (c != '.') out.digits.push_back(c);
  const std::size_t skip = scientific[e + 1] == '+' ? 2 : 1;
  std::from_chars(scientific.data() + e + skip, scientific.data() + scientific.size(), out.exponent);
  while (out.digits.size() > 1 && out.digits.back() == '0') out.digits.pop_back();
  return out;
}

using Buffer = std::array<char, 64>;

// The shortest digits that read back.
Digits exact_digits(double value) {
  Buffer b{};
  const auto end = std::to_chars(b.data(), b.data() + b.size(), value, std::chars_format::scientific).ptr;
  return digits_of({b.data(), static_cast<std::size_t>(end - b.data())});
}

Digits rounded_digits(double value, int count) {
  Buffer b{};
  const auto end =
      std::to_chars(b.data(), b.data() + b.size(), value, std::chars_format::scientific, count - 1).ptr;
  return digits_of({b.data(), static_cast<std::size_t>(end - b.data())});
}

std::string lay_out(const Digits& d, int exponent_from) {
  std::string out = d.negative ? "-" : "";
  const int count = static_cast<int>(d.digits.size());
  const bool zero = d.digits == "0";
  if (!zero && (d.exponent < -5 || d.exponent >= exponent_from)) {
    out += d.digits[0];
    if (count > 1) (out += '.') += std::string_view(d.digits).substr(1);
    return out += fmt::format("e{}", d.exponent);
  }
  if (d.exponent < 0)
    return out.append("0.").append(static_cast<std::size_t>(-d.exponent - 1), '0') += d.digits;
  const int whole = d.exponent + 1;
  if (count <= whole) return (out += d.digits).append(static_cast<std::size_t>(whole - count), '0');
  out += std::string_view(d.digits).substr(0, static_cast<std::size_t>(whole));
  return (out += '.') += std::string_view(d.digits).substr(static_cast<std::size_t>(whole));
}

constexpr int kFirstWithExponent = 9;  // as 1e9: format_number writes smaller ones in full

std::string with_digits(double value, int count) {
  return lay_out(rounded_digits(value, count), kFirstWithExponent);
}

int usual_digits(double value) {
  return std::fabs(value) >= 1000 ? 4 : 3;
}

struct Pair {
  const Unit& metric;
  const Unit& imperial;
};

// The first pair that holds a unit tells its partner.
constexpr std::array kPairs{
    Pair{table::row("N·m"), table::row("ft·lbf")},  Pair{table::row("N·m"), table::row("in·lbf")},
    Pair{table::row("cN·m"), table::row("in·ozf")}, Pair{table::row("N"), table::row("lbf")},
    Pair{table::row("kN"), table::row("kip")},      Pair{table::row("N"), table::row("ozf")},
    Pair{table::row("kgf"), table::row("lbf")},     Pair{table::row("mm"), table::row("in")},
    Pair{table::row("cm"), table::row("in")},       Pair{table::row("m"), table::row("ft")},
    Pair{table::row("µm"), table::row("thou")},     Pair{table::row("MPa"), table::row("ksi")},
    Pair{table::row("MPa"), table::row("psi")},     Pair{table::row("Pa"), table::row("psi")},
    Pair{table::row("GPa"), table::row("Mpsi")},    Pair{table::row("N/mm"), table::row("lbf/in")},
    Pair{table::row("°C"), table::row("°F")},
};

// Units that neither system claims, and what people ask for beside them.
struct Neighbour {
  const Unit& unit;
  const Unit& beside;
};
constexpr std::array kNeighbours{
    Neighbour{table::row("kgf·m"), table::row("N·m")}, Neighbour{table::row("kgf·cm"), table::row("N·m")},
    Neighbour{table::row("kgf"), table::row("N")},     Neighbour{table::row("°"), table::row("rad")},
    Neighbour{table::row("rad"), table::row("°")},     Neighbour{table::row("turn"), table::row("°")},
    Neighbour{table::row("flat"), table::row("°")},    Neighbour{table::row("s"), table::row("min")},
    Neighbour{table::row("min"), table::row("s")},     Neighbour{table::row("h"), table::row("min")},
    Neighbour{table::row("%"), table::kOne},           Neighbour{table::kOne, table::row("%")},
};

constexpr std::array kPowersOfTen{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11};

// significant() without its work, for 0.1 up to 10^digits, when the rounding is beyond doubt: scaling errs by
// less than 1e-6, and no tie is as near. Says whether it wrote anything.
bool append_plain(std::string& out, double value, int digits) {
  const double size = std::fabs(value);
  const auto most = static_cast<std::size_t>(digits);
  if (most > 9 || !(size >= 0.1 && size < kPowersOfTen[most])) return false;
  std::size_t decimals = most;
  while (size >= kPowersOfTen[most - decimals]) --decimals;
  const double scaled = size * kPowersOfTen[decimals];
  auto number = static_cast<std::uint32_t>(scaled);
  const double part = scaled - number;
  if (std::fabs(part - 0.5) < 1e-6) return false;
  if (part > 0.5) ++number;

  for (; decimals > 0 && number % 10 == 0; --decimals) number /= 10;
  const fmt::format_int figures(number);
  const std::string_view all(figures.data(), figures.size());
  if (std::signbit(value)) out += '-';
  if (all.size() <= decimals) {
    out.append("0.").append(decimals - all.size(), '0').append(all);
  } else {
    out += all.substr(0, all.size() - decimals);
    if (decimals > 0) (out += '.') += all.substr(all.size() - decimals);
  }
  return true;
}

const Unit& imperial_torque(const Measured& written) {
  const Measured feet = written.converted_to(foot_pound_unit());
  return std::fabs(feet.number()) < 5 ? inch_pound_unit() : foot_pound_unit();
}

}  // namespace

void append_significant(std::string& out, double value, int digits) {
  if (!append_plain(out, value, digits)) out += significant(value, digits);
}

std::string three_digits(double value) {
  if (value == 0) return "0";
  const double step = std::pow(10.0, std::floor(std::log10(std::fabs(value))) - 2);
  return format_number(std::round(value / step) * step);
}

std::string significant(double value, int digits) {
  const int whole = exact_digits(value).exponent + 1;
  const Digits d = rounded_digits(value, whole > digits && whole <= 15 ? whole : digits);
  return lay_out(d, 15);
}

std::string with_unit(std::string number, const Unit& unit, bool ascii) {
  const std::string_view word = ascii ? unit.ascii : unit.spelling;
  if (!word.empty() && word != degree_unit().spelling) number += ' ';
  return number += word;
}

void TorqueTally::add(const Measured& figure) {
  if (figure.dimension() == Dimension::torque) ++(figure.unit().imperial ? imperial_ : metric_);
}

std::optional<System> TorqueTally::most() const {
  if (imperial_ == metric_) return std::nullopt;
  return imperial_ > metric_ ? System::imperial : System::metric;
}

std::string format_number(double value) {
  const Digits d = exact_digits(value);
  if (d.digits.size() <= 4) return lay_out(d, kFirstWithExponent);
  return with_digits(value, usual_digits(value));
}

std::string format(const Measured& quantity) {
  return with_unit(format_number(quantity.number()), quantity.unit());
}

std::string format(const Measured& quantity, const Unit& unit) {
  return format(quantity.converted_to(unit));
}

const Unit& unit_in(System system, const Measured& written) {
  const Unit& unit = written.unit();
  if (unit.imperial == (system == System::imperial)) return unit;
  if (system == System::imperial && unit.dimension == Dimension::torque) return imperial_torque(written);
  for (const Pair& pair : kPairs) {
    if (system == System::imperial && &pair.metric == &unit) return pair.imperial;
    if (system == System::metric && &pair.imperial == &unit) return pair.metric;
  }
  return unit;
}

const Unit& counterpart(const Measured& written) {
  for (const Neighbour& neighbour : kNeighbours)
    if (&neighbour.unit == &written.unit()) return neighbour.beside;
  return unit_in(written.unit().imperial ? System::metric : System::imperial, written);
}

std::string format_range(const Measured& low, const Measured& high, const Unit& unit) {
  const double from = low.in(unit);
  const double to = high.in(unit);
  std::string first = format_number(from);
  std::string last = format_number(to);
  // Seventeen digits tell any two doubles apart.
  for (int digits = 4; from != to && first == last && digits <= 17; ++digits) {
    first = with_digits(from, digits);
    last = with_digits(to, digits);
  }
  return with_unit(first == last ? first : first + ".." + last, unit);
}

std::string print(const Measured& quantity) {
  return with_unit(text::shortest(quantity.number()), quantity.unit());
}

}  // namespace clampbook::units
