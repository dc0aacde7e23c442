#include <clampbook/schedule/target.h>
#include <clampbook/text/number.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace clampbook::schedule {

using units::Dimension;
using units::Measured;

namespace {

struct Refusal {
  TargetFault fault;
};

// A number with the unit it was written with (or will get) and the half of its last written digit.
struct Figure {
  double number = 0;
  const units::Unit* unit = nullptr;
  std::size_t at = 0, end = 0;
  double half_digit = 0;
};

double half_of_last_digit(std::string_view number) {
  const std::size_t exponent = number.find_first_of("eE");
  const std::size_t point = number.find('.');
  if (exponent != std::string_view::npos || point == std::string_view::npos) return 0.5;
  return 0.5 * std::pow(10.0, -static_cast<double>(number.size() - point - 1));
}

class Scanner {
 public:
  Scanner(std::string_view text, Dimension dimension) : text_(text), dimension_(dimension) {}

  Target target();
  Tolerance whole_tolerance();

 private:
  struct Range {
    Figure low, high;
    bool is_range = false;
  };

  void skip_spaces() {
    while (true) {
      if (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\n')) {
        ++at_;
      } else if (text_.substr(at_).starts_with("\u00A0")) {
        at_ += 2;
      } else {
        return;
      }
    }
  }
  bool accept(std::string_view word) {
    skip_spaces();
    if (!text_.substr(at_).starts_with(word)) return false;
    at_ += word.size();
    return true;
  }
  [[nodiscard]] bool done() {
    skip_spaces();
    return at_ == text_.size();
  }
  [[noreturn]] static void refuse(std::string slug, std::string message, std::string help, std::size_t at,
                                  std::size_t length) {
    throw Refusal{
        {std::move(slug), std::move(message), std::move(help), at, std::max<std::size_t>(length, 1)}};
  }
  [[noreturn]] void refuse_rest() {
    skip_spaces();
    refuse("wrong-shape", fmt::format("'{}' is not understood here", text_.substr(at_)),
           "a figure is written like 28 N·m, 28 N·m ± 4 %, 27..29 N·m, 8 N·m +2 -0, or 23 N·m (17 ft·lbf)",
           at_, text_.size() - at_);
  }

  Figure figure();
  Range range();
  void require_dimension(const Figure& figure) const;
  std::optional<Tolerance> tolerance(const units::Unit* unit);
  Measured deviation(const units::Unit* unit);
  void compare(const Range& first, const Range& other) const;

  std::string_view text_;
  Dimension dimension_;
  std::size_t at_ = 0;
};

Figure Scanner::figure() {
  skip_spaces();
  const units::MeasuredScan scan = units::scan_measured(text_, at_);
  if (!scan) refuse(std::string(scan.slug), scan.message, scan.help, scan.fault_at, scan.fault_length);
  Figure out{scan.number, scan.unit, scan.number_at, scan.end,
             half_of_last_digit(text_.substr(scan.number_at, scan.number_end - scan.number_at))};
  at_ = scan.end;
  return out;
}

void Scanner::require_dimension(const Figure& f) const {
  if (f.unit == nullptr) {
    refuse("missing-unit", fmt::format("{} has no unit", text_.substr(f.at, f.end - f.at)),
           fmt::format("put the unit after the number, for example: {}",
                       units::print(Measured(f.number, dimension_ == Dimension::ratio
                                                           ? units::percent_unit()
                                                           : units::machine_unit(dimension_)))),
           f.at, f.end - f.at);
  }
  if (f.unit->dimension != dimension_) {
    refuse("wrong-dimension",
           fmt::format("{} is {}, not {}", text_.substr(f.at, f.end - f.at),
                       units::with_article(f.unit->dimension), units::with_article(dimension_)),
           "", f.at, f.end - f.at);
  }
}

Scanner::Range Scanner::range() {
  Range out;
  out.low = figure();
  out.is_range = accept("..") || accept("\u2013");
  if (!out.is_range) {
    require_dimension(out.low);
    out.high = out.low;
    return out;
  }
  out.high = figure();
  if (out.low.unit == nullptr) out.low.unit = out.high.unit;
  require_dimension(out.high);
  require_dimension(out.low);
  if (Measured(out.low.number, *out.low.unit).in(*out.high.unit) > out.high.number) {
    refuse("out-of-domain",
           fmt::format("the range {} runs backwards", text_.substr(out.low.at, out.high.end - out.low.at)),
           "write the lower end first", out.low.at, out.high.end - out.low.at);
  }
  return out;
}

// The amount after a plus or minus sign: its own unit, a percentage, or the unit of the figure.
Measured Scanner::deviation(const units::Unit* unit) {
  skip_spaces();
  const std::size_t start = at_;
  Figure f = figure();
  if (f.unit == nullptr) f.unit = unit;
  if (f.unit == nullptr || (f.unit->dimension != Dimension::ratio && f.unit->dimension != dimension_))
    require_dimension(f);
  if (f.number < 0)
    refuse("out-of-domain", "a tolerance is written without a second sign", "", start, f.end - start);
  if (f.unit->dimension == Dimension::ratio && Measured(f.number, *f.unit).si() >= 1)
    refuse("out-of-domain", "a tolerance is less than 100 %", "", start, f.end - start);
  return {f.number, *f.unit};
}

std::optional<Tolerance> Scanner::tolerance(const units::Unit* unit) {
  if (accept("±") || accept("+-") || accept("+/-")) {
    const Measured both = deviation(unit);
    return Tolerance{both, both};
  }
  std::optional<Measured> above, below;
  for (int side = 0; side < 2; ++side) {
    if (!above && accept("+")) {
      above = deviation(unit);
    } else if (!below && (accept("-") || accept("\u2212"))) {
      below = deviation(unit);
    }
  }
  if (!above && !below) return std::nullopt;
  const Measured zero(0, above ? above->unit() : below->unit());
  return Tolerance{below ? *below : zero, above ? *above : zero};
}

Tolerance Scanner::whole_tolerance() {
  std::optional<Tolerance> out = tolerance(nullptr);
  if (!out) {
    const Measured both = deviation(nullptr);
    out = Tolerance{both, both};
  }
  if (!done()) refuse_rest();
  return *out;
}

// Two figures for one thing agree when both may be roundings of the same value, or differ by 2 % at most.
void Scanner::compare(const Range& first, const Range& other) const {
  const auto agree = [](const Figure& a, const Figure& b) {
    const double va = Measured(a.number, *a.unit).si(), vb = Measured(b.number, *b.unit).si();
    const double room = Measured(a.half_digit, *a.unit).si() + Measured(b.half_digit, *b.unit).si();
    const double gap = std::fabs(va - vb);
    return gap <= room * (1 + 1e-9) || gap <= 0.02 * std::max(std::fabs(va), std::fabs(vb)) * (1 + 1e-9);
  };
  if (first.is_range != other.is_range) {
    const auto mean = [](const Range& r) {
      Figure f = r.low;
      f.number = (r.low.number + Measured(r.high.number, *r.high.unit).in(*r.low.unit)) / 2;
      return f;
    };
    if (agree(mean(first), mean(other))) return;
  } else if (agree(first.low, other.low) && agree(first.high, other.high)) {
    return;
  }
  const std::string_view a = text_.substr(first.low.at, first.high.end - first.low.at);
  const std::string_view b = text_.substr(other.low.at, other.high.end - other.low.at);
  const Measured as_first(other.high.number, *other.high.unit);
  refuse("doubled-figure-differs", fmt::format("{} and {} are not the same figure", a, b),
         fmt::format("{} is {}; which of the two is right?", units::format(as_first),
                     units::format(as_first, *first.high.unit)),
         first.low.at, other.high.end - first.low.at);
}

Target Scanner::target() {
  const Range first = range();
  std::optional<Tolerance> tol = tolerance(first.high.unit);
  std::vector<Measured> alternates;
  if (accept("(")) {
    do {
      const Range other = range();
      compare(first, other);
      if (other.is_range) alternates.emplace_back(other.low.number, *other.low.unit);
      alternates.emplace_back(other.high.number, *other.high.unit);
    } while (accept("/"));
    if (!accept(")")) refuse_rest();
    if (!tol) tol = tolerance(first.high.unit);
  }
  if (!done()) refuse_rest();
  const Measured low(first.low.number, *first.low.unit), high(first.high.number, *first.high.unit);
  if (!first.is_range) {
    Target out{std::string(text_), high, {}, {}, std::move(alternates)};
    if (tol) {
      const Window window = window_of(high, *tol);
      out.low = window.low;
      out.high = window.high;
    }
    return out;
  }
  if (tol)
    refuse("conflicting-keys", "a range with a tolerance besides", "write one of the two", 0, text_.size());
  const Measured middle((low.in(high.unit()) + high.number()) / 2, high.unit());
  return {std::string(text_), middle, low.converted_to(high.unit()), high, std::move(alternates)};
}

}  // namespace

Window window_of(const Measured& nominal, const Tolerance& tolerance) {
  const auto amount = [&](const Measured& t) {
    return t.dimension() == Dimension::ratio ? nominal.number() * t.si() : t.in(nominal.unit());
  };
  return {{nominal.number() - amount(tolerance.below), nominal.unit()},
          {nominal.number() + amount(tolerance.above), nominal.unit()}};
}

TargetScan scan_target(std::string_view text, Dimension dimension) {
  try {
    return {Scanner(text, dimension).target(), {}};
  } catch (const Refusal& refusal) {
    return {{}, refusal.fault};
  }
}

ToleranceScan scan_tolerance(std::string_view text, Dimension dimension) {
  try {
    return {Scanner(text, dimension).whole_tolerance(), {}};
  } catch (const Refusal& refusal) {
    return {{}, refusal.fault};
  }
}

}  // namespace clampbook::schedule
