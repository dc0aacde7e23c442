// Every computable row of values.csv that belongs to the joint room. Nothing is skipped silently: an fn that
// no list names fails, and the counts are held.
#include "tests/reference/computations.h"
#include "tests/support/catch.h"

#include <cmath>
#include <map>
#include <set>
#include <string>

namespace {

namespace units = clampbook::units;
using reference::computations;
using reference::kShortFormBound;
using reference::not_ours;
using reference::Row;
using reference::short_forms;
using reference::unmet;

TEST_CASE("every computable reference row is met or listed with its reason", "[reference][joint]") {
  std::map<std::string, int> tally;
  for (const Row& row : reference::all_rows()) {
    if (row.topic == "units" || row.topic == "order") continue;  // tests of those rooms
    const std::string fn = row.fn();
    if (fn.empty()) continue;  // tabulated: the next test file
    CAPTURE(row.id, row.quantity, row.value, row.tolerance);
    if (const auto call = computations().find(fn); call != computations().end()) {
      const double computed = call->second(row);
      CAPTURE(computed);
      if (unmet().count(row.id) > 0) {
        // One last digit of the table at most, and no longer listed once it is met.
        CHECK_FALSE(row.met_by(computed));
        CHECK_THAT(computed, WithinRel(row.number(), 0.01));
        ++tally["unmet"];
      } else {
        CHECK(row.met_by(computed));
        ++tally["met"];
      }
    } else if (const auto short_form = short_forms().find(fn); short_form != short_forms().end()) {
      CHECK_THAT(short_form->second(row), WithinRel(row.number(), kShortFormBound));
      ++tally["short form"];
    } else {
      CHECK(not_ours().count(fn) == 1);
      ++tally["not ours"];
    }
  }
  CHECK(tally["met"] == 822);
  CHECK(tally["short form"] == 30);
  CHECK(tally["not ours"] == 121);
  CHECK(tally["unmet"] == static_cast<int>(unmet().size()));
}

TEST_CASE("areas and stresses behind the printed loads are our tables'", "[reference][joint]") {
  int rows = 0;
  for (const Row& row : reference::all_rows()) {
    if (row.fn() != "load") continue;
    CAPTURE(row.id, row.quantity);
    const reference::ClassRow ours = reference::class_row(row);
    const double printed = row("As_mm2");
    const double half_digit = 0.5 * std::pow(10.0, std::floor(std::log10(printed)) - 2);
    CHECK_THAT(units::value_in(ours.thread.stress_area(), units::square_millimetre),
               WithinAbs(printed, half_digit * 1.0001));
    const bool proof = row.id.rfind("pc-Fp", 0) == 0;
    const auto stress = proof ? *ours.strength.proof : ours.strength.tensile;
    CHECK_THAT(units::value_in(stress, units::megapascal), WithinRel(row("R_MPa"), 1e-12));
    ++rows;
  }
  CHECK(rows == 201);
}

TEST_CASE("no list of the reference test names a computation that no row holds", "[reference][joint]") {
  std::set<std::string> held;
  for (const Row& row : reference::all_rows()) held.insert(row.fn());
  const auto check = [&](const auto& table) {
    for (const auto& [fn, unused] : table) {
      CAPTURE(fn);
      CHECK(held.count(fn) == 1);
    }
  };
  check(computations());
  check(short_forms());
  check(not_ours());
}

}  // namespace
