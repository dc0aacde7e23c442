// Conversions against published factors (units.csv names the source of each row) and against GNU units.
#include <clampbook/text/json.h>
#include <clampbook/units/measured.h>

#include "tests/support/catch.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

using namespace clampbook;
using namespace clampbook::units;

namespace {

// One line of comma-separated values, quotes doubled inside quotes.
std::vector<std::string> split_csv(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '"') {
      if (quoted && i + 1 < line.size() && line[i + 1] == '"') {
        cells.back() += line[i++];
      } else {
        quoted = !quoted;
      }
    } else if (line[i] == ',' && !quoted) {
      cells.emplace_back();
    } else {
      cells.back() += line[i];
    }
  }
  return cells;
}

std::vector<std::map<std::string, std::string>> read_rows(const std::string& name) {
  std::ifstream file(std::string(CLAMPBOOK_SOURCE_DIR) + "/tests/reference/" + name);
  REQUIRE(file);
  std::string line;
  std::getline(file, line);
  const std::vector<std::string> names = split_csv(line);
  std::vector<std::map<std::string, std::string>> rows;
  while (std::getline(file, line)) {
    const std::vector<std::string> cells = split_csv(line);
    REQUIRE(cells.size() == names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (i == 0) rows.emplace_back();
      rows.back()[names[i]] = cells[i];
    }
  }
  return rows;
}

double number(const std::string& text) {
  double value = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  REQUIRE(read.ec == std::errc());
  REQUIRE(read.ptr == text.data() + text.size());
  return value;
}

void check(double found, const std::map<std::string, std::string>& row) {
  const double expected = number(row.at("value"));
  const std::string& tolerance = row.at("tolerance");
  if (tolerance.starts_with("rel:")) {
    CHECK_THAT(found, WithinRel(expected, number(tolerance.substr(4))));
  } else {
    REQUIRE(tolerance.starts_with("abs:"));
    CHECK_THAT(found, WithinAbs(expected, number(tolerance.substr(4))));
  }
}

// Rows in units that schedules have no use for.
const std::set<std::string> kOutside{
    "unit-def-04",                  // acceleration
    "unit-def-08",                  // kgf/mm²
    "unit-def-09",                  // dyn·cm
    "unit-ex-07",                   // ozf·ft
    "unit-fac-23",                  // Mlbf/in, MN/m
    "unit-fac-29",                  // areas
    "unit-nist-10",                 // masses
    "mat-w-carbon_steel",           // weights by volume
    "mat-w-grey_cast_iron",         //
    "mat-w-magnesium",              //
    "mat-w-stainless_steel_18-8",   //
    "mat-w-titanium_alloys",        //
    "mat-a-alloy_steel_4140",       // expansion for each degree
    "mat-a-alloy_steel_4340",       //
    "mat-a-ductile_iron_60-40-18",  //
    "mat-a-aluminium_356.0",        //
    "mat-a-aluminium_6061",         //
    "mat-a-aluminium_7075",         //
    "mat-a-magnesium_AZ91D",        //
    "mat-a-titanium_Ti-6Al-4V",     //
};

}  // namespace

TEST_CASE("conversions agree with published factors", "[units][reference]") {
  std::set<std::string> outside = kOutside;
  int checked = 0;
  for (const auto& row : read_rows("units.csv")) {
    const std::string& id = row.at("id");
    INFO(id);
    const std::optional<text::Json> inputs = text::parse_json(row.at("inputs"));
    REQUIRE(inputs);
    const std::string& function = *inputs->find("fn")->as_string();
    if (function == "loc_minus_one_pct") {
      // The error of a short factor that is often seen, against the definition: both from the table here.
      const double factor = *inputs->find("b")->as_number();
      const double exact = factor > 1 ? convert(1, foot_pound_unit(), newton_metre_unit())
                                      : convert(1, newton_metre_unit(), foot_pound_unit());
      CHECK_THAT(exact, WithinRel(factor, 1e-15));
      check((*inputs->find("a")->as_number() / exact - 1) * 100, row);
      ++checked;
      continue;
    }
    REQUIRE(function == "conv");
    const Unit* const from = find_unit(*inputs->find("frm")->as_string());
    const Unit* const to = find_unit(*inputs->find("to")->as_string());
    if (from == nullptr || to == nullptr) {
      CHECK(outside.erase(id) == 1);  // a unit was lost, or a new row needs a line in kOutside
      continue;
    }
    CHECK_FALSE(outside.contains(id));  // the unit is known by now: take it out of kOutside
    check(convert(*inputs->find("value")->as_number(), *from, *to), row);
    ++checked;
  }
  CHECK(checked == 54);
  for (const std::string& id : outside) FAIL_CHECK("no row is called " << id);
}

TEST_CASE("conversions are within one last place of the exact fraction", "[units][reference]") {
  const auto rows = read_rows("units_exact.csv");
  REQUIRE(rows.size() > 500);
  std::set<std::string> covered;
  std::size_t not_nearest = 0;
  for (const auto& row : rows) {
    const Unit* const from = find_unit(row.at("from"));
    const Unit* const to = find_unit(row.at("to"));
    REQUIRE(from != nullptr);
    REQUIRE(to != nullptr);
    covered.insert(row.at("from"));
    const double nearest = number(row.at("result"));
    const double found = convert(number(row.at("value")), *from, *to);
    INFO(row.at("value") << ' ' << row.at("from") << ' ' << row.at("to"));
    CHECK(found >= std::nextafter(nearest, -HUGE_VAL));
    CHECK(found <= std::nextafter(nearest, HUGE_VAL));
    not_nearest += found == nearest ? 0U : 1U;
  }
  // Eleven spare bits make all but about one in a thousand the very nearest.
  CHECK(not_nearest <= rows.size() / 100);
  for (const Unit& unit : all_units()) {
    INFO(unit.spelling);
    CHECK((unit.dimension == Dimension::ratio || covered.contains(std::string(unit.spelling))));
  }
}

namespace {

// The same unit as GNU units (Debian package `units`) spells it.
const std::map<std::string_view, std::string> kGnu{
    {"N·m", "N m"},
    {"ft·lbf", "ft lbf"},
    {"in·lbf", "in lbf"},
    {"in·ozf", "in ounce force"},
    {"kgf·m", "kgf m"},
    {"kgf·cm", "kgf cm"},
    {"cN·m", "cN m"},
    {"daN·m", "daN m"},
    {"N", "N"},
    {"kN", "kN"},
    {"lbf", "lbf"},
    {"kgf", "kgf"},
    {"ozf", "ounce force"},
    {"kip", "kip"},
    {"mm", "mm"},
    {"cm", "cm"},
    {"m", "m"},
    {"µm", "micrometer"},
    {"in", "inch"},
    {"ft", "foot"},
    {"thou", "mil"},
    {"Pa", "Pa"},
    {"MPa", "MPa"},
    {"GPa", "GPa"},
    {"psi", "psi"},
    {"ksi", "ksi"},
    {"Mpsi", "1e6 psi"},
    {"N/mm", "N/mm"},
    {"lbf/in", "lbf/in"},
    {"°", "degree"},
    {"rad", "radian"},
    {"turn", "circle"},
    {"flat", "circle/6"},
    {"s", "s"},
    {"min", "minute"},
    {"h", "hour"},
    {"%", "percent"},
    {"", "1"},
};

std::string run(const std::string& command) {
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  REQUIRE(pipe);
  std::string out;
  std::array<char, 256> buffer{};
  while (std::fgets(buffer.data(), static_cast<int>(buffer.size()), pipe.get()) != nullptr)
    out += buffer.data();
  while (!out.empty() && out.back() == '\n') out.pop_back();
  return out;
}

double gnu_units(const std::string& from, const std::string& to) {
  return number(run("units -1 --compact -o %.17g '" + from + "' '" + to + "' 2>&1"));
}

}  // namespace

TEST_CASE("conversions agree with GNU units in every unit", "[units][reference]") {
  if (run("units --version 2>&1").find("GNU Units") == std::string::npos)
    FAIL("the program `units` is missing: install the Debian package units");
  std::size_t compared = 0;
  for (const Unit& unit : all_units()) {
    if (unit.dimension == Dimension::temperature) continue;
    INFO(unit.spelling);
    REQUIRE(kGnu.contains(unit.spelling));
    // Each against the machine unit of its dimension, both ways: any pair is made of two such steps.
    const Unit& other = machine_unit(unit.dimension);
    const std::string& here = kGnu.at(unit.spelling);
    const std::string& there = kGnu.at(other.spelling);
    // GNU units computes in double: a few roundings.
    CHECK_THAT(convert(1, unit, other), WithinRel(gnu_units(here, there), 1e-14));
    CHECK_THAT(convert(1, other, unit), WithinRel(gnu_units(there, here), 1e-14));
    ++compared;
  }
  CHECK(compared == all_units().size() - 2);
  CHECK(kGnu.size() == compared + 1);  // the bare ratio has no word
}

TEST_CASE("temperature points agree with GNU units", "[units][reference]") {
  const Unit& celsius = *find_unit("°C");
  const Unit& fahrenheit = *find_unit("°F");
  for (const std::string degrees : {"20", "150", "-40", "37.5"}) {
    INFO(degrees);
    CHECK_THAT(convert(number(degrees), celsius, fahrenheit),
               WithinRel(gnu_units("tempC(" + degrees + ")", "tempF"), 1e-14));
    // GNU units goes by way of kelvin and loses the digits that 273.15 holds.
    CHECK_THAT(convert(number(degrees), fahrenheit, celsius),
               WithinAbs(gnu_units("tempF(" + degrees + ")", "tempC"), 1e-12));
  }
}
