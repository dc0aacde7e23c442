// What to say about a word that is no unit.
#include <clampbook/text/words.h>
#include <clampbook/units/unit.h>
#include <clampbook/units/unit_table.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <iterator>

namespace clampbook::units {

namespace {

struct Prose {
  std::string_view word;  ///< lower case, without spaces, dots, hyphens and a final s
  std::string_view unit;
};

// Units in words, and habits of other programs.
constexpr std::array kProse{
    Prose{"newtonmetre", "N·m"},
    Prose{"newtonmeter", "N·m"},
    Prose{"newton", "N"},
    Prose{"kilonewton", "kN"},
    Prose{"footpound", "ft·lbf"},
    Prose{"poundfoot", "ft·lbf"},
    Prose{"poundfeet", "ft·lbf"},
    Prose{"ftpound", "ft·lbf"},
    Prose{"inchpound", "in·lbf"},
    Prose{"poundinch", "in·lbf"},
    Prose{"poundinche", "in·lbf"},
    Prose{"inchounce", "in·ozf"},
    Prose{"ounceinch", "in·ozf"},
    Prose{"inch", "in"},
    Prose{"inche", "in"},
    Prose{"foot", "ft"},
    Prose{"feet", "ft"},
    Prose{"millimetre", "mm"},
    Prose{"millimeter", "mm"},
    Prose{"centimetre", "cm"},
    Prose{"centimeter", "cm"},
    Prose{"metre", "m"},
    Prose{"meter", "m"},
    Prose{"micron", "µm"},
    Prose{"micrometre", "µm"},
    Prose{"micrometer", "µm"},
    Prose{"degree", "°"},
    Prose{"º", "°"},
    Prose{"radian", "rad"},
    Prose{"revolution", "turn"},
    Prose{"rev", "turn"},
    Prose{"second", "s"},
    Prose{"sec", "s"},
    Prose{"minute", "min"},
    Prose{"hour", "h"},
    Prose{"percent", "%"},
    Prose{"megapascal", "MPa"},
    Prose{"celsiu", "°C"},
    Prose{"fahrenheit", "°F"},
    Prose{"kgm", "kgf·m"},
    Prose{"kgcm", "kgf·cm"},
    Prose{"kg·m", "kgf·m"},
    Prose{"kg·cm", "kgf·cm"},
    Prose{"kilogrammetre", "kgf·m"},
};

constexpr std::array<std::string_view, 2> kPounds{"lb", "pound"};
constexpr std::array<std::string_view, 4> kKilograms{"kg", "kilo", "kilogram", "kilogramme"};

// "Foot-Pounds." and "foot pounds" are one word here.
std::string plain(std::string_view word) {
  std::string out;
  for (const char c : word)
    if (c != ' ' && c != '.' && c != '-')
      out.push_back(static_cast<char>(std::tolower(static_cast<unsigned char>(c))));
  if (out.size() > 1 && out.back() == 's') out.pop_back();
  return out;
}

bool same_but_for_case(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](unsigned char x, unsigned char y) { return std::tolower(x) == std::tolower(y); });
}

// The units near `word`, by their printed spelling. A slip of case alone leaves no doubt.
std::vector<std::string_view> near_units(std::string_view word) {
  std::vector<std::string_view> words;
  for (const Unit& unit : all_units())
    for (const std::string_view spelling : spellings(unit)) words.push_back(spelling);
  std::vector<std::string_view> same;
  std::copy_if(words.begin(), words.end(), std::back_inserter(same),
               [&](std::string_view spelling) { return same_but_for_case(spelling, word); });
  if (!same.empty()) words = same;
  std::vector<std::string_view> units;
  for (const std::string& match : text::close_matches(word, words, words.size())) {
    const std::string_view unit = find_unit(match)->spelling;
    if (std::find(units.begin(), units.end(), unit) == units.end()) units.push_back(unit);
    if (units.size() == 3) break;
  }
  return units;
}

// "ft·lbf, or ft-lb": what the program prints, and what every keyboard has.
std::string as_written(std::string_view spelling) {
  const Unit& unit = *find_unit(spelling);
  return unit.ascii == unit.spelling ? std::string(unit.spelling)
                                     : fmt::format("{}, or {}", unit.spelling, unit.ascii);
}

}  // namespace

std::string unit_help(std::string_view word) {
  if (word == "nm") return "newton metres have a capital N: write N·m; nm would be nanometres";
  if (word.ends_with('.')) {
    if (const Unit* unit = find_unit(word.substr(0, word.size() - 1)))
      return fmt::format("write {} without the full stop", unit->spelling);
  }
  const std::string prose = plain(word);
  if (std::find(kPounds.begin(), kPounds.end(), prose) != kPounds.end())
    return "a pound is a mass: write lbf for a force, ft·lbf or in·lbf for a torque";
  if (std::find(kKilograms.begin(), kKilograms.end(), prose) != kKilograms.end())
    return "a kilogram is a mass: write kgf for a force, kgf·m or kgf·cm for a torque";
  const auto* const known =
      std::find_if(kProse.begin(), kProse.end(), [&](const Prose& p) { return p.word == prose; });
  if (known != kProse.end()) return "write " + as_written(known->unit);
  const std::vector<std::string_view> near = near_units(word);
  return near.empty() ? std::string() : "did you mean " + text::list_words(near);
}

}  // namespace clampbook::units
