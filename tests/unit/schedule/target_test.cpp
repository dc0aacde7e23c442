#include "tests/support/catch.h"

#include <clampbook/schedule/target.h>

using namespace clampbook;
using schedule::scan_target;
using units::Dimension;

namespace {

schedule::Target torque(const std::string& text) {
  const auto scan = scan_target(text, Dimension::torque);
  INFO(text << ": " << scan.fault.message);
  REQUIRE(scan.target);
  return *scan.target;
}

std::string torque_fault(const std::string& text) {
  return scan_target(text, Dimension::torque).fault.slug;
}

}  // namespace

TEST_CASE("a bare figure has no window of its own", "[schedule][target]") {
  const auto t = torque("28 N·m");
  REQUIRE(t.nominal.si() == 28);
  REQUIRE_FALSE(t.low);
  REQUIRE(t.alternates.empty());
}

TEST_CASE("tolerances are read in every form", "[schedule][target]") {
  struct Row {
    const char* text;
    double nominal, low, high;
  };
  for (const Row& row :
       {Row{"50 N·m ± 4 %", 50, 48, 52}, Row{"50 N·m +- 4 %", 50, 48, 52},
        Row{"50 N·m +/- 2 N·m", 50, 48, 52}, Row{"50 N·m ± 2", 50, 48, 52}, Row{"8 N·m +2 -0", 8, 8, 10},
        Row{"8 N·m -1 +2", 8, 7, 10}, Row{"8 N·m +2", 8, 8, 10}, Row{"8 N·m -1", 8, 7, 8},
        Row{"27..29 N·m", 28, 27, 29}, Row{"27–29 N·m", 28, 27, 29}, Row{"27 N·m .. 29 N·m", 28, 27, 29},
        Row{"50Nm±4%", 50, 48, 52}, Row{"50 N·m (36.9 ft·lbf) ± 4 %", 50, 48, 52},
        Row{"50 N·m ± 4 % (36.9 ft·lbf)", 50, 48, 52}}) {
    INFO(row.text);
    const auto t = torque(row.text);
    REQUIRE_THAT(t.nominal.si(), WithinRel(row.nominal, 1e-12));
    REQUIRE(t.low);
    REQUIRE_THAT(t.low->si(), WithinRel(row.low, 1e-12));
    REQUIRE_THAT(t.high->si(), WithinRel(row.high, 1e-12));
  }
}

TEST_CASE("doubled figures agree when they may be roundings of one value", "[schedule][target]") {
  // 17 ft·lbf is 23.05 N·m and 2.35 kgf·m is 23.05 N·m: exact by definition of the units.
  REQUIRE(torque("23 N·m (17 ft·lbf / 2.35 kgf·m)").alternates.size() == 2);
  REQUIRE(torque("30 N·m (22.1 ft·lbf)").alternates.size() == 1);
  // The half intervals overlap although the values are 9 % apart: 5 means 4.5 to 5.5, 4 ft·lbf 4.75 to 6.1
  // N·m.
  REQUIRE(torque("5 N·m (4 ft·lbf)").alternates.size() == 1);
  // Within 2 % of the larger.
  REQUIRE(torque("100.0 N·m (74.00 ft·lbf)").alternates.size() == 1);
  REQUIRE(torque_fault("100.0 N·m (75.5 ft·lbf)") == "doubled-figure-differs");
  REQUIRE(torque_fault("30 N·m (30 ft·lbf)") == "doubled-figure-differs");
  REQUIRE(torque("27..29 N·m (20..21.4 ft·lbf)").alternates.size() == 2);
  REQUIRE(torque("27..29 N·m (20.7 ft·lbf)").alternates.size() == 1);
  REQUIRE(torque_fault("27..29 N·m (20..25 ft·lbf)") == "doubled-figure-differs");
}

TEST_CASE("faulty figures say what is wrong", "[schedule][target]") {
  REQUIRE(torque_fault("30") == "missing-unit");
  REQUIRE(torque_fault("60°") == "wrong-dimension");
  REQUIRE(torque_fault("30 Nmm") == "unknown-unit");
  REQUIRE(torque_fault("30,5 N·m") == "decimal-comma");
  REQUIRE(torque_fault("29..27 N·m") == "out-of-domain");
  REQUIRE(torque_fault("30 N·m ± 100 %") == "out-of-domain");
  REQUIRE(torque_fault("30 N·m or so") == "wrong-shape");
  REQUIRE(torque_fault("30 N·m (22.1 ft·lbf") == "wrong-shape");
  REQUIRE(torque_fault("27..29 N·m ± 1 %") == "conflicting-keys");
  REQUIRE(torque_fault("") == "bad-number");
}

TEST_CASE("a fault points at its bytes", "[schedule][target]") {
  const std::string text = "30 N·m (22,1 ft·lbf)";
  const auto fault = scan_target(text, Dimension::torque).fault;
  REQUIRE(text.substr(fault.at, fault.length) == "22,1");
}
