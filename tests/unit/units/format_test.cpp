#include <clampbook/units/format.h>

#include "tests/support/catch.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <random>

using namespace clampbook::units;

namespace {
const Unit& unit(std::string_view word) {
  return *find_unit(word);
}
std::string_view imperial(double value, std::string_view word) {
  return unit_in(System::imperial, {value, unit(word)}).spelling;
}
std::string_view metric(double value, std::string_view word) {
  return unit_in(System::metric, {value, unit(word)}).spelling;
}
}  // namespace

TEST_CASE("numbers show the digits that a person can use", "[units][format]") {
  CHECK(format_number(30) == "30");
  CHECK(format_number(22.5) == "22.5");
  CHECK(format_number(0.17) == "0.17");
  CHECK(format_number(22.126864478317963) == "22.1");
  CHECK(format_number(1355.8179483314004) == "1356");
  CHECK(format_number(999.96) == "1000");
  CHECK(format_number(1001.5) == "1002");
  CHECK(format_number(120381.3) == "120400");
  CHECK(format_number(120000) == "120000");
  CHECK(format_number(0.0012345) == "0.00123");
  CHECK(format_number(30.000000000000004) == "30");
  CHECK(format_number(-22.126864478317963) == "-22.1");
  CHECK(format_number(0) == "0");
  CHECK(format_number(999999999) == "1e9");
  CHECK(format_number(2.5e9) == "2.5e9");
  CHECK(format_number(1e-7) == "1e-7");
}

TEST_CASE("a quantity is written with its unit", "[units][format]") {
  CHECK(format({30, newton_metre_unit()}) == "30 N·m");
  CHECK(format({60, degree_unit()}) == "60°");
  CHECK(format({4, percent_unit()}) == "4 %");
  CHECK(format({10, unit("min")}) == "10 min");
  CHECK(format({30, newton_metre_unit()}, foot_pound_unit()) == "22.1 ft·lbf");
  CHECK(format({0.12, one_unit()}) == "0.12");
  CHECK(with_unit("30", newton_metre_unit(), true) == "30 Nm");
  CHECK(with_unit("60", degree_unit(), true) == "60 deg");
}

TEST_CASE("each system has a unit to show beside the written one", "[units][format]") {
  CHECK(imperial(30, "N·m") == "ft·lbf");
  CHECK(imperial(5, "N·m") == "in·lbf");
  CHECK(imperial(-30, "N·m") == "ft·lbf");
  CHECK(imperial(2, "kgf·m") == "ft·lbf");
  CHECK(imperial(30, "ft·lbf") == "ft·lbf");
  CHECK(imperial(1, "in·lbf") == "in·lbf");
  CHECK(imperial(1, "mm") == "in");
  CHECK(imperial(1, "N") == "lbf");
  CHECK(imperial(1, "kN") == "kip");
  CHECK(imperial(1, "MPa") == "ksi");
  CHECK(imperial(1, "°C") == "°F");
  CHECK(imperial(1, "°") == "°");
  CHECK(imperial(1, "s") == "s");
  CHECK(imperial(1, "%") == "%");
  CHECK(metric(30, "ft·lbf") == "N·m");
  CHECK(metric(30, "in·lbf") == "N·m");
  CHECK(metric(1, "kip") == "kN");
  CHECK(metric(1, "lbf") == "N");
  CHECK(metric(1, "in") == "mm");
  CHECK(metric(1, "psi") == "MPa");
  CHECK(metric(1, "N·m") == "N·m");
  CHECK(metric(1, "kgf·m") == "kgf·m");
}

TEST_CASE("every unit has a counterpart of its own dimension", "[units][format]") {
  for (const Unit& u : all_units()) {
    INFO(u.spelling);
    const Unit& other = counterpart({30, u});
    CHECK(&other != &u);
    CHECK(other.dimension == u.dimension);
  }
}

TEST_CASE("a range is written with one unit", "[units][format]") {
  const Unit& metric_unit = newton_metre_unit();
  CHECK(format_range({28.8, metric_unit}, {31.2, metric_unit}, metric_unit) == "28.8..31.2 N·m");
  CHECK(format_range({28, metric_unit}, {28, metric_unit}, metric_unit) == "28 N·m");
  CHECK(format_range({55, degree_unit()}, {65, degree_unit()}, degree_unit()) == "55..65°");
  // ends that differ never look alike
  CHECK(format_range({28.0001, metric_unit}, {28.0002, metric_unit}, metric_unit) == "28.0001..28.0002 N·m");
  CHECK(format_range({30, metric_unit}, {30.000000000000004, metric_unit}, metric_unit) !=
        format_range({30, metric_unit}, {30, metric_unit}, metric_unit));
}

TEST_CASE("rounding to six digits agrees with the C library", "[units][format]") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> exponent(-4, 5.99);
  for (int i = 0; i < 200'000; ++i) {
    const double value = std::pow(10, exponent(random)) * (i % 2 == 0 ? 1 : -1);
    std::string ours;
    append_significant(ours, value, 6);
    // %.6g of values in this range is plain but for what rounds up to 1e+06
    if (std::fabs(value) < 999'999) REQUIRE(ours == fmt::format("{:.6g}", value));
    REQUIRE(ours == significant(value, 6));
  }
  CHECK(significant(1234567.8, 6) == "1234568");
  CHECK(significant(999999.7, 6) == "1000000");
  CHECK(significant(0.5, 6) == "0.5");
  CHECK(significant(2.5, 1) == "2");  // a tie goes to the even digit, as everywhere in IEEE 754
  CHECK(significant(0, 6) == "0");
}
