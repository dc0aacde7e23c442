#include <clampbook/units/unit.h>
#include <clampbook/units/unit_table.h>

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <stdexcept>

namespace clampbook::units {

namespace {

using table::kUnits;

// Every spelling fits in eight bytes, so that a word is one integer and looking it up is one multiplication
// and, nearly always, one comparison. The table is made by the compiler: nothing runs at start-up.
constexpr std::size_t kLongest = 8;

constexpr std::uint64_t pack(std::string_view word) {
  std::uint64_t key = 0;
  for (const char c : word) key = key << 8 | static_cast<unsigned char>(c);
  return key;
}

class SpellingIndex {
 public:
  consteval SpellingIndex() {
    for (std::size_t row = 0; row < kUnits.size(); ++row) {
      insert(kUnits[row].spelling, row);
      insert(kUnits[row].ascii, row);
      for (const std::string_view word : kUnits[row].also) insert(word, row);
    }
  }
  [[nodiscard]] const Unit* find(std::uint64_t key) const {
    std::size_t at = home(key);
    while (!slots_[at].empty() && slots_[at].key != key) at = next(at);
    return slots_[at].empty() ? nullptr : &kUnits[slots_[at].row];
  }

 private:
  struct Slot {
    std::uint64_t key = 0;
    std::size_t row = kUnits.size();
    [[nodiscard]] constexpr bool empty() const { return row == kUnits.size(); }
  };

  static constexpr unsigned kBits = 10;
  static constexpr std::size_t home(std::uint64_t key) { return key * 0x9E3779B97F4A7C15U >> (64 - kBits); }
  static constexpr std::size_t next(std::size_t at) { return (at + 1) % (std::size_t{1} << kBits); }

  consteval void insert(std::string_view word, std::size_t row) {
    if (word.size() > kLongest) throw "a spelling needs a wider key";
    std::size_t at = home(pack(word));
    for (; !slots_[at].empty(); at = next(at)) {
      if (slots_[at].key == pack(word) && slots_[at].row != row) throw "one spelling for two units";
      if (slots_[at].key == pack(word)) return;
    }
    slots_[at] = {pack(word), row};
  }

  std::array<Slot, std::size_t{1} << kBits> slots_{};
};

constexpr SpellingIndex kIndex;

// The same word with one dot, one micro sign and one space.
std::string with_usual_signs(std::string_view word) {
  struct Twin {
    std::string_view from, to;
  };
  static constexpr std::array kTwins{Twin{"\u22C5", "\u00B7"}, Twin{"\u03BC", "\u00B5"}, Twin{"\u00A0", " "},
                                     Twin{"\u202F", " "}};
  std::string out;
  while (!word.empty()) {
    const auto twin =
        std::find_if(kTwins.begin(), kTwins.end(), [&](Twin t) { return word.starts_with(t.from); });
    out += twin == kTwins.end() ? word.substr(0, 1) : twin->to;
    word.remove_prefix(twin == kTwins.end() ? 1 : twin->from.size());
  }
  return out;
}

// Whether `c` occurs in a sign that has a twin: a first byte of U+22C5, U+202F, U+03BC, the last of U+00A0.
constexpr bool may_have_twin(char c) {
  return c == '\xE2' || c == '\xCE' || c == '\xA0';
}

double convert_temperature(double value, const Unit& to) {
  // Not by way of kelvin: near the zero of the new scale the big offsets would eat the digits.
  const long double v = value;
  if (&to == &table::row("°F")) return static_cast<double>((v * 9 + 160) / 5);
  return static_cast<double>((v - 32) * 5 / 9);
}

}  // namespace

std::string_view name(Dimension dimension) {
  switch (dimension) {
    case Dimension::torque:
      return "torque";
    case Dimension::force:
      return "force";
    case Dimension::length:
      return "length";
    case Dimension::stress:
      return "stress";
    case Dimension::stiffness:
      return "stiffness";
    case Dimension::angle:
      return "angle";
    case Dimension::time:
      return "time";
    case Dimension::temperature:
      return "temperature";
    case Dimension::ratio:
      return "ratio";
  }
  throw std::logic_error("a dimension without a name");
}

std::string with_article(Dimension dimension) {
  return fmt::format("{} {}", dimension == Dimension::angle ? "an" : "a", name(dimension));
}

std::string_view machine_suffix(Dimension dimension) {
  switch (dimension) {
    case Dimension::torque:
      return "_Nm";
    case Dimension::force:
      return "_N";
    case Dimension::length:
      return "_mm";
    case Dimension::stress:
      return "_MPa";
    case Dimension::stiffness:
      return "_N_per_mm";
    case Dimension::angle:
      return "_deg";
    case Dimension::time:
      return "_s";
    case Dimension::temperature:
      return "_degC";
    case Dimension::ratio:
      return "";
  }
  throw std::logic_error("a dimension without a suffix");
}

const Unit& machine_unit(Dimension dimension) {
  switch (dimension) {
    case Dimension::torque:
      return table::row("N·m");
    case Dimension::force:
      return table::row("N");
    case Dimension::length:
      return table::row("mm");
    case Dimension::stress:
      return table::row("MPa");
    case Dimension::stiffness:
      return table::row("N/mm");
    case Dimension::angle:
      return table::row("°");
    case Dimension::time:
      return table::row("s");
    case Dimension::temperature:
      return table::row("°C");
    case Dimension::ratio:
      return table::kOne;
  }
  throw std::logic_error("a dimension without a machine unit");
}

std::span<const Unit> all_units() {
  return kUnits;
}

std::vector<std::string_view> spellings(const Unit& unit) {
  std::vector<std::string_view> words{unit.spelling};
  if (unit.ascii != unit.spelling) words.push_back(unit.ascii);
  for (const std::string_view word : unit.also)
    if (word != unit.spelling && word != unit.ascii) words.push_back(word);
  return words;
}

const Unit* find_unit(std::string_view word) {
  // A zero byte in front would leave the key as it was.
  if (word.empty() || word.size() > 2 * kLongest || word.front() == '\0') return nullptr;
  if (std::any_of(word.begin(), word.end(), may_have_twin)) {
    const std::string usual = with_usual_signs(word);
    return usual.size() > kLongest ? nullptr : kIndex.find(pack(usual));
  }
  return word.size() > kLongest ? nullptr : kIndex.find(pack(word));
}

const Unit& newton_metre_unit() {
  return table::row("N·m");
}
const Unit& foot_pound_unit() {
  return table::row("ft·lbf");
}
const Unit& inch_pound_unit() {
  return table::row("in·lbf");
}
const Unit& kilogram_metre_unit() {
  return table::row("kgf·m");
}
const Unit& degree_unit() {
  return table::row("°");
}
const Unit& millimetre_unit() {
  return table::row("mm");
}
const Unit& inch_unit() {
  return table::row("in");
}
const Unit& percent_unit() {
  return table::row("%");
}
const Unit& one_unit() {
  return table::kOne;
}

double convert(double value, const Unit& from, const Unit& to) {
  if (&from == &to) return value;
  if (from.dimension != to.dimension)
    throw std::logic_error(fmt::format("{} cannot be expressed in {}", from.spelling, to.spelling));
  if (from.dimension == Dimension::temperature) return convert_temperature(value, to);
  return static_cast<double>(static_cast<long double>(value) * from.factor / to.factor);
}

}  // namespace clampbook::units
