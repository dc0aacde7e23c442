#include <clampbook/units/measured.h>
#include <clampbook/units/unit.h>

#include "tests/support/catch.h"

#include <cmath>
#include <numbers>
#include <set>
#include <stdexcept>

using namespace clampbook;
using namespace clampbook::units;

namespace {
double in(double value, std::string_view from, std::string_view to) {
  return convert(value, *find_unit(from), *find_unit(to));
}
}  // namespace

TEST_CASE("every spelling leads to its unit and to no other", "[units]") {
  std::set<std::string_view> seen;
  for (const Unit& unit : all_units()) {
    for (const std::string_view word : spellings(unit)) {
      INFO(word);
      CHECK(find_unit(word) == &unit);
      CHECK(seen.insert(word).second);
    }
  }
}

TEST_CASE("the spellings that the format promises are all known", "[units]") {
  // docs/format.md, Units: the first word is printed
  const std::vector<std::vector<std::string_view>> promised{
      {"N·m", "Nm", "N*m", "N.m", "N-m", "N m"},
      {"ft·lbf", "ft-lb", "ft-lbs", "ft.lb", "ft lb", "lb-ft", "lb·ft", "lbf·ft", "lbf.ft", "ftlb"},
      {"in·lbf", "in-lb", "in-lbs", "in.lb", "in lb", "lb-in", "lb·in", "lbf·in", "lbf.in", "inlb"},
      {"in·ozf", "in-oz", "ozf·in", "ozf.in"},
      {"kgf·m", "kgf-m", "kgf.m", "kp·m", "mkg"},
      {"kgf·cm", "kgf-cm", "kgf.cm"},
      {"cN·m"},
      {"daN·m"},
      {"N"},
      {"kN"},
      {"lbf"},
      {"kgf"},
      {"ozf"},
      {"kip"},
      {"mm"},
      {"cm"},
      {"m"},
      {"µm", "um"},
      {"in"},
      {"ft"},
      {"thou", "mil"},
      {"Pa"},
      {"MPa", "N/mm²"},
      {"GPa"},
      {"psi"},
      {"ksi"},
      {"Mpsi"},
      {"N/mm"},
      {"lbf/in"},
      {"°", "deg", "degrees"},
      {"rad"},
      {"turn"},
      {"flat"},
      {"s"},
      {"min"},
      {"h"},
      {"°C", "degC"},
      {"°F", "degF"},
      {"%"}};
  REQUIRE(promised.size() == all_units().size());
  for (std::size_t i = 0; i < promised.size(); ++i) {
    for (const std::string_view word : promised[i]) {
      INFO(word);
      CHECK(find_unit(word) == &all_units()[i]);
    }
    CHECK(all_units()[i].spelling == promised[i].front());
  }
}

TEST_CASE("dots and micro signs and spaces have twins", "[units]") {
  CHECK(find_unit("N\u22C5m") == &newton_metre_unit());
  CHECK(find_unit("ft\u22C5lbf") == &foot_pound_unit());
  CHECK(find_unit("N\u00A0m") == &newton_metre_unit());
  CHECK(find_unit("ft\u00A0lb") == &foot_pound_unit());
  CHECK(find_unit("\u03BCm") == find_unit("\u00B5m"));
  CHECK(find_unit("\u03BCm") != nullptr);
}

TEST_CASE("words that are no units stay unknown", "[units]") {
  for (const std::string_view word : {"",     "nm",     "NM",     "nM",       "Nmm",
                                      "N·m ", " N·m",   "N  m",   "N··m",     "KN",
                                      "mpa",  "Lbf",    "PSI",    "N\u2022m", "ft·lbf·ft·lbf·ft",
                                      "\xC2", "N\xFFm", "\u22C5", "lb",       "kg"}) {
    INFO(word);
    CHECK(find_unit(word) == nullptr);
  }
  // A leading zero byte does not make a word equal to the one behind it.
  CHECK(find_unit(std::string_view("\0N", 2)) == nullptr);
  CHECK(find_unit(std::string_view("\0\0\0m", 4)) == nullptr);
}

TEST_CASE("a value in its own unit is left alone", "[units]") {
  for (const Unit& unit : all_units())
    for (const double value : {0.1, 5e-324, 1.7976931348623157e308, -0.0, 29.999999999999996})
      CHECK(std::signbit(convert(value, unit, unit)) == std::signbit(value));
  CHECK(convert(0.1, foot_pound_unit(), foot_pound_unit()) == 0.1);
}

TEST_CASE("exact pairs come out exact", "[units]") {
  CHECK(in(1, "in", "mm") == 25.4);
  CHECK(in(254, "mm", "in") == 10);
  CHECK(in(1, "ft", "in") == 12);
  CHECK(in(12, "in·lbf", "ft·lbf") == 1);
  CHECK(in(16, "in·ozf", "in·lbf") == 1);
  CHECK(in(1, "kgf·m", "kgf·cm") == 100);
  CHECK(in(1, "daN·m", "cN·m") == 1000);
  CHECK(in(1, "kip", "lbf") == 1000);
  CHECK(in(1, "MPa", "Pa") == 1e6);
  CHECK(in(1, "turn", "°") == 360);
  CHECK(in(1, "flat", "°") == 60);
  CHECK(in(6, "flat", "turn") == 1);
  CHECK(in(90, "min", "h") == 1.5);
  CHECK(convert(4, percent_unit(), one_unit()) == 0.04);
}

TEST_CASE("half a turn is exactly pi", "[units]") {
  CHECK(in(180, "°", "rad") == std::numbers::pi);
  CHECK(in(std::numbers::pi, "rad", "°") == 180);
  CHECK(value_in(of(180, degree), radian) == std::numbers::pi);
  CHECK(value_in(to<Angle>({180, degree_unit()}), radian) == std::numbers::pi);
  CHECK(value_in(of(180, degree), degree) == 180);
}

TEST_CASE("temperatures keep their digits around either zero", "[units]") {
  CHECK(in(0, "°C", "°F") == 32);
  CHECK(in(100, "°C", "°F") == 212);
  CHECK(in(-40, "°C", "°F") == -40);
  CHECK(in(-40, "°F", "°C") == -40);
  CHECK(in(32, "°F", "°C") == 0);
  CHECK(in(0, "°F", "°C") == -160.0 / 9);
  // 32 °F and one last place more is 5/9 of that place above freezing, not noise of the kelvin offset.
  CHECK(in(32.00000000000001, "°F", "°C") == (32.00000000000001 - 32) * 5 / 9);
  CHECK(Measured(20, *find_unit("°C")).si() == 293.15);
  CHECK_THAT(Measured(68, *find_unit("°F")).si(), WithinRel(293.15, 1e-15));
  CHECK(to<TemperaturePoint>({20, *find_unit("°C")}).kelvin() == 293.15);
}

TEST_CASE("units of different dimensions do not convert", "[units]") {
  CHECK_THROWS_AS(in(1, "N·m", "mm"), std::logic_error);
  CHECK_THROWS_AS(to<Force>({1, newton_metre_unit()}), std::logic_error);
  CHECK_THROWS_AS(to<Torque>({1, degree_unit()}), std::logic_error);
}

TEST_CASE("typed quantities agree with the written ones", "[units]") {
  CHECK(value_in(to<Torque>({30, newton_metre_unit()}), newton_metre) == 30);
  CHECK(value_in(to<Torque>({1, foot_pound_unit()}), foot_pound) == 1);
  CHECK(value_in(to<Torque>({1, inch_pound_unit()}), inch_pound) == 1);
  CHECK(value_in(to<Force>({1, *find_unit("lbf")}), pound_force) == 1);
  CHECK(value_in(to<Length>({1, inch_unit()}), inch) == 1);
  CHECK(value_in(to<Stress>({1, *find_unit("ksi")}), kilopound_per_square_inch) == 1);
  CHECK(value_in(to<Stiffness>({1, *find_unit("N/mm")}), newton_per_millimetre) == 1);
  CHECK(value_in(to<Duration>({10, *find_unit("min")}), second) == 600);
  CHECK(value_in(to<Ratio>({4, percent_unit()}), one) == 0.04);
}

TEST_CASE("machine output has one unit and suffix for each dimension", "[units]") {
  for (const Unit& unit : all_units()) {
    INFO(unit.spelling);
    CHECK(machine_unit(unit.dimension).dimension == unit.dimension);
  }
  CHECK(machine_suffix(Dimension::torque) == "_Nm");
  CHECK(machine_suffix(Dimension::stiffness) == "_N_per_mm");
  CHECK(machine_suffix(Dimension::ratio).empty());
  CHECK(Measured(1, foot_pound_unit()).machine_value() ==
        1.3558179483314004);  // NIST SP 811, exact definition
  CHECK(with_article(Dimension::angle) == "an angle");
  CHECK(with_article(Dimension::torque) == "a torque");
}

TEST_CASE("an unknown word brings the help that fits it", "[units]") {
  CHECK(unit_help("nm") == "newton metres have a capital N: write N·m; nm would be nanometres");
  CHECK(unit_help("Nm.") == "write N·m without the full stop");
  CHECK(unit_help("lbft.") == "write ft·lbf without the full stop");
  CHECK(unit_help("lb") == "a pound is a mass: write lbf for a force, ft·lbf or in·lbf for a torque");
  CHECK(unit_help("lbs") == unit_help("lb"));
  CHECK(unit_help("kg") == "a kilogram is a mass: write kgf for a force, kgf·m or kgf·cm for a torque");
  CHECK(unit_help("foot-pounds") == "write ft·lbf, or ft-lb");
  CHECK(unit_help("Newton metres") == "write N·m, or Nm");
  CHECK(unit_help("inches") == "write in");
  CHECK(unit_help("º") == "write °, or deg");
  CHECK(unit_help("Nmx") == "did you mean N·m");
  CHECK(unit_help("KN") == "did you mean kN");
  CHECK(unit_help("xyzzyxyzzy").empty());
}
