// Tabulated rows of values.csv (those without `fn`) that the library's own tables hold too.
#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/joint/lubricant.h>
#include <clampbook/joint/material.h>
#include <clampbook/joint/resilience.h>
#include <clampbook/joint/strength.h>
#include <clampbook/joint/thread_name.h>
#include <clampbook/joint/wrench.h>

#include "tests/reference/rows.h"
#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <map>
#include <optional>
#include <string>

namespace {

namespace units = clampbook::units;
using namespace joint_test;        // NOLINT(google-build-using-namespace): short names
using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test
using reference::Row;

bool has(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}
std::string first_word(const std::string& text) {
  return text.substr(0, text.find(' '));
}

std::optional<double> figure(const Strength& s, const std::string& quantity, units::Scale<Stress> unit) {
  if (has(quantity, "Rm,min") || has(quantity, "tensile")) return units::value_in(s.tensile, unit);
  if (has(quantity, "ReL,min") || has(quantity, "Rpf,min") || has(quantity, "Rp0.2,min") ||
      has(quantity, "yield")) {
    return units::value_in(s.yield, unit);
  }
  if (has(quantity, "Sp,nom") || has(quantity, "proof")) return units::value_in(*s.proof, unit);
  if (has(quantity, "elongation")) return units::value_in(s.elongation, units::percent);
  return std::nullopt;  // hardness
}

// "class 8.8 d>16 Rm,min" or "SAE J429 grade 2, 1/4-3/4 in, minimum yield strength"
std::optional<double> property_class(const Row& row) {
  if (row.quantity.rfind("class ", 0) == 0) {
    const Found<Strength> s =
        find_strength(first_word(row.quantity.substr(6)), mm(has(row.quantity, "d>16") ? 20 : 12));
    REQUIRE(s);
    return figure(*s, row.quantity, units::megapascal);
  }
  static const std::map<std::string, double> kSizes = {
      {"1/4-3/4", 0.75}, {"7/8-1 1/2", 0.875}, {"1/4-1", 1}, {"1 1/8-1 1/2", 1.125}, {"1/4-1 1/2", 1.5}};
  const Found<Strength> s =
      find_strength("SAE " + row.text("grade"), units::of(kSizes.at(row.text("size_in")), units::inch));
  REQUIRE(s);
  return figure(*s, row.quantity, units::kilopound_per_square_inch);
}

std::optional<double> head_geometry(const Row& row) {
  const Found<NamedThread> thread = find_thread(first_word(row.quantity));
  REQUIRE(thread);
  if (has(row.quantity, "dw,min")) {
    return units::value_in(find_standard_head(HeadShape::hexagon, thread->thread)->seat_outer,
                           units::millimetre);
  }
  if (has(row.quantity, "medium series")) {
    return units::value_in(*find_clearance_hole(thread->thread), units::millimetre);
  }
  return std::nullopt;
}

std::optional<double> friction_class(const Row& row) {
  const std::string lower_or_upper = has(row.quantity, "lower") ? "lower" : "upper";
  const std::string name = has(row.quantity, "class A")   ? "moly paste"
                           : has(row.quantity, "class B") ? "engine oil"
                                                          : "dry";
  if (has(row.quantity, "class C")) return std::nullopt;  // no lubricant of ours is as wide as class C
  const FrictionRange range = find_lubricant(name)->thread;
  return lower_or_upper == "lower" ? range.low : range.high;
}

std::optional<double> poisson(const Row& row) {
  for (const auto& [words, name] : std::map<std::string, std::string>{{"grey cast iron", "grey iron"},
                                                                      {"aluminium", "aluminium"},
                                                                      {"magnesium", "magnesium"},
                                                                      {"titanium", "titanium"}}) {
    if (has(row.quantity, words.c_str())) return find_material(name)->poisson;
  }
  return std::nullopt;
}

std::optional<double> seat_pressure(const Row& row) {
  if (row.id.rfind("pG86", 0) == 0) return std::nullopt;  // the table of an older edition
  std::string grade = row.quantity.substr(row.quantity.find(", ") + 2);
  if (grade == "S235 class steel") grade = "S235";
  for (const SeatPressureLimit& limit : seat_pressure_limits()) {
    if (limit.grade != grade) continue;
    CHECK(limit.tensile_MPa == row("Rm_min_MPa"));
    return limit.limit_MPa;
  }
  return std::nullopt;
}

// In diameters: the length by which the bolt's resilience depends on each substitute.
std::optional<double> substitute_length(const Row& row) {
  const Thread thread = Thread::metric(mm(10), mm(1.5));
  const Stress e = units::of(205, units::gigapascal);
  const Length d = thread.diameter();
  const Area disc = kPi / 4 * (d * d);
  const BoltGeometry bolt{thread, HeadShape::socket, {{mm(30), d}}, mm(30), e};
  const auto receiver = [&](Receiver r) {
    const Length part = (bolt_resilience(bolt, r, e) - bolt_resilience(bolt, r, 2.0 * e)) * (2.0 * e * disc);
    return double(part / d);
  };
  if (has(row.quantity, "socket head")) return double(head_substitute_length(HeadShape::socket, d) / d);
  if (has(row.quantity, "nut substitute")) return receiver(Receiver::nut);
  if (has(row.quantity, "tapped-hole")) return receiver(Receiver::tapped);
  if (has(row.quantity, "engaged thread")) {
    const Resilience rest =
        bar_resilience(mm(30), disc, e) + bar_resilience((0.4 + receiver(Receiver::nut)) * d, disc, e);
    const Length thread_part = (bolt_resilience(bolt, Receiver::nut, e) - rest) * (e * thread.minor_area());
    return double(thread_part / d);
  }
  return std::nullopt;
}

std::optional<double> wrench(const Row& row) {
  if (!has(row.quantity, "max torque <= 10")) return std::nullopt;
  return 100 * permissible_deviation(units::of(10, units::newton_metre));
}

TEST_CASE("tabulated reference rows agree with the tables of the library", "[reference][joint]") {
  using Lookup = std::optional<double> (*)(const Row&);
  const std::map<std::string, Lookup> topics = {{"property-class", property_class},
                                                {"head-geometry", head_geometry},
                                                {"friction-class", friction_class},
                                                {"material", poisson},
                                                {"surface-pressure", seat_pressure},
                                                {"elongation", substitute_length},
                                                {"wrench", wrench}};
  // Topics whose tabulated rows hold figures that the library has no table for, on purpose: nut factors,
  // scatter of methods and turns by other handbooks, a textbook's curve fits; and those of other rooms.
  const std::map<std::string, int> elsewhere = {
      {"nut-factor", 11}, {"scatter", 15}, {"joint-example", 6}, {"torque-angle", 7}, {"order", 6}};
  std::map<std::string, int> met;
  std::map<std::string, int> not_held;
  for (const Row& row : reference::all_rows()) {
    if (!row.fn().empty()) continue;
    CAPTURE(row.id, row.quantity, row.value);
    const auto lookup = topics.find(row.topic);
    if (lookup == topics.end()) {
      CHECK(elsewhere.count(row.topic) == 1);
      ++not_held[row.topic];
      continue;
    }
    const std::optional<double> ours = lookup->second(row);
    if (!ours) {
      ++not_held[row.topic];
      continue;
    }
    CHECK_THAT(*ours, WithinRel(row.number(), 1e-9));
    ++met[row.topic];
  }
  for (const auto& [topic, count] : elsewhere) {
    CAPTURE(topic);
    CHECK(not_held[topic] == count);
  }
  CHECK(met["property-class"] == 34);
  CHECK(not_held["property-class"] == 13);  // Vickers hardness
  CHECK(met["head-geometry"] == 17);
  CHECK(met["friction-class"] == 4);
  CHECK(met["material"] == 4);
  CHECK(met["surface-pressure"] == 13);
  CHECK(met["elongation"] == 4);
  CHECK(met["wrench"] == 1);
  CHECK(not_held["wrench"] == 5);  // test points and intervals of recalibration
}

}  // namespace
