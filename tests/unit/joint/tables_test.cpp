#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/joint/lubricant.h>
#include <clampbook/joint/material.h>
#include <clampbook/joint/thread_name.h>

#include "tests/support/catch.h"
#include "tests/support/values.h"

#include <string>

namespace {

using namespace clampbook::joint;  // NOLINT(google-build-using-namespace): the room under test
using namespace joint_test;        // NOLINT(google-build-using-namespace)

// A slip of the finger in a table shows as a head that does not pass its hole, or a step back.
TEST_CASE("heads cover their holes and grow with the thread", "[joint][tables]") {
  for (const HeadShape shape : {HeadShape::hexagon, HeadShape::socket}) {
    for (const bool inch : {false, true}) {
      Length last = mm(0), last_hole = mm(0);
      int found = 0;
      for (int step = 2; step <= 1024; ++step) {
        const Thread thread =
            inch ? Thread::unified(in(step / 32.0), 80) : Thread::metric(mm(step / 10.0), mm(0.04));
        const Found<Head> head = find_standard_head(shape, thread);
        if (!head) {
          CHECK(head.failure().help.find("bearing") != std::string::npos);
          continue;
        }
        ++found;
        CAPTURE(in_mm(thread.diameter()));
        const Length whole = shape == HeadShape::hexagon ? *head->width_across_flats : *head->head_diameter;
        CHECK(head->seat_outer < whole);
        CHECK(head->seat_outer > last);
        CHECK(head->seat_outer > 1.3 * thread.diameter());
        last = head->seat_outer;
        const Found<Length> hole = find_clearance_hole(thread);
        if (!hole) continue;
        CHECK(*hole > thread.diameter());
        CHECK(*hole > last_hole);
        CHECK(*hole < head->seat_outer);
        CHECK(*find_clearance_hole(thread, HoleSeries::fine) < *hole);
        CHECK(*find_clearance_hole(thread, HoleSeries::coarse) > *hole);
        last_hole = *hole;
      }
      CHECK(found >= (inch ? 9 : 18));
    }
  }
}

TEST_CASE("a word for a head or a size without one says what to write", "[joint][tables]") {
  CHECK(*find_head("hexagon") == HeadShape::hexagon);
  CHECK(*find_head("socket") == HeadShape::socket);
  CHECK(find_head("hexagn").failure().help == "did you mean hexagon");
  CHECK(find_head("flange").failure().help == "write hexagon, socket or {bearing: 14.6 mm}");
  const Thread m9 = find_thread("M9x1")->thread;
  CHECK_FALSE(find_standard_head(HeadShape::hexagon, m9));
  CHECK(find_clearance_hole(m9).failure().help == "write the hole's diameter, for example hole: 11 mm");
  CHECK_THAT(in_mm(head_substitute_length(HeadShape::hexagon, mm(10))), WithinRel(5.0, 1e-14));
}

TEST_CASE("asking a failed look-up for its thing is a fault of the caller", "[joint][tables]") {
  CHECK_THROWS_AS(*find_material("cheese"), std::logic_error);
  CHECK_THROWS_AS(find_material("steel").failure(), std::logic_error);
}

TEST_CASE("every material is complete and the format's moduli are its own", "[joint][tables]") {
  const struct {
    const char* name;
    double modulus;
  } kModuli[] = {{"steel", 205},        {"stainless steel", 193}, {"aluminium", 71}, {"grey iron", 105},
                 {"ductile iron", 169}, {"magnesium", 45},        {"titanium", 114}, {"bronze", 105}};
  CHECK(material_names().size() == std::size(kModuli));
  for (const auto& row : kModuli) {
    CAPTURE(row.name);
    const Found<Material> m = find_material(row.name);
    REQUIRE(m);
    CHECK_THAT(units::value_in(m->modulus, units::gigapascal), WithinRel(row.modulus, 1e-14));
    CHECK(m->poisson > 0.2);
    CHECK(m->poisson < 0.36);
    CHECK(units::value_in(m->expansion, units::per_kelvin) > 8e-6);
    CHECK(units::value_in(m->expansion, units::per_kelvin) < 27e-6);
    CHECK(m->tensile > mpa(100));
    CHECK(m->seat_pressure > mpa(100));
    CHECK(m->shear_ratio >= 0.5);
    CHECK_FALSE(m->grade.empty());
  }
  CHECK(find_material("aluminum").failure().help == "did you mean aluminium");
  CHECK(find_material("cheese").failure().help.find("modulus") != std::string::npos);
  CHECK_THAT(units::value_in(shear_modulus(gpa(205), 0.3), units::gigapascal), WithinRel(205 / 2.6, 1e-14));
  CHECK_THROWS_AS(shear_modulus(gpa(205), 0.6), DomainError);
}

TEST_CASE("lubricants are ranges around the figure to compute with", "[joint][tables]") {
  CHECK(lubricant_names().size() == 8);
  for (const std::string_view name : lubricant_names()) {
    const Found<Lubricant> l = find_lubricant(name);
    REQUIRE(l);
    CHECK(l->thread.low > 0);
    CHECK(l->thread.low < l->thread.nominal);
    CHECK(l->thread.nominal < l->thread.high);
    CHECK(l->seat.nominal == l->thread.nominal);
  }
  CHECK(find_lubricant("engine oil")->thread.nominal == 0.12);
  CHECK(find_lubricant("engin oil").failure().help == "did you mean engine oil");
  CHECK(find_lubricant("honey").failure().help.find("dry") != std::string::npos);
  CHECK_THAT(friction_about(0.12).low, WithinRel(0.096, 1e-14));
  CHECK_THAT(friction_about(0.12).high, WithinRel(0.144, 1e-14));
  CHECK_THAT(friction_between(0.10, 0.16).nominal, WithinRel(0.13, 1e-14));
  for (const double bad : {kNan, kInf, 0.0, -0.1, 1.1}) {
    CHECK_THROWS_AS(friction_about(bad), DomainError);
    CHECK_THROWS_AS(friction_between(bad, 1), DomainError);
    CHECK_THROWS_AS(friction_between(0.1, bad), DomainError);
  }
  CHECK_THROWS_AS(friction_between(0.2, 0.1), DomainError);
}

}  // namespace
