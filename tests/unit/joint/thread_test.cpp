#include <clampbook/joint/thread.h>
#include <clampbook/joint/thread_name.h>
#include <clampbook/text/error.h>

#include "tests/support/catch.h"

#include <limits>

namespace {

namespace units = clampbook::units;
using clampbook::DomainError;
using clampbook::joint::find_thread;
using clampbook::joint::Found;
using clampbook::joint::NamedThread;
using clampbook::joint::Thread;

units::Length mm(double x) {
  return units::of(x, units::millimetre);
}
double in_mm(units::Length x) {
  return units::value_in(x, units::millimetre);
}

TEST_CASE("doubling every length of a thread doubles its diameters and quadruples its area",
          "[joint][thread]") {
  const Thread one = Thread::metric(mm(10), mm(1.5));
  const Thread two = Thread::metric(mm(20), mm(3));
  REQUIRE_THAT(in_mm(two.pitch_diameter()), WithinRel(2 * in_mm(one.pitch_diameter()), 1e-15));
  REQUIRE_THAT(in_mm(two.minor_diameter()), WithinRel(2 * in_mm(one.minor_diameter()), 1e-15));
  const auto area = [](const Thread& t) {
    return units::value_in(t.stress_area(), units::square_millimetre);
  };
  REQUIRE_THAT(area(two), WithinRel(4 * area(one), 1e-14));
  REQUIRE_THAT(two.lead_tangent(), WithinRel(one.lead_tangent(), 1e-14));
}

TEST_CASE("the metric stress diameter is the mean of pitch and minor diameter", "[joint][thread]") {
  const Thread t = Thread::metric(mm(12), mm(1.75));
  REQUIRE_THAT(in_mm(t.stress_diameter()),
               WithinRel((in_mm(t.pitch_diameter()) + in_mm(t.minor_diameter())) / 2, 1e-15));
  REQUIRE(t.minor_diameter() < t.nut_minor_diameter());
  REQUIRE(t.nut_minor_diameter() < t.pitch_diameter());
  REQUIRE(t.pitch_diameter() < t.diameter());
}

TEST_CASE("a thread that cannot be cut is refused", "[joint][thread]") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double inf = std::numeric_limits<double>::infinity();
  for (const double bad : {nan, inf, -inf, 0.0, -8.0, 1e6}) {
    CAPTURE(bad);
    REQUIRE_THROWS_AS(Thread::metric(mm(bad), mm(1)), DomainError);
    REQUIRE_THROWS_AS(Thread::metric(mm(8), mm(bad)), DomainError);
    REQUIRE_THROWS_AS(Thread::unified(mm(8), bad), DomainError);
  }
  REQUIRE_THROWS_AS(Thread::metric(mm(8), mm(4.001)), DomainError);
  REQUIRE_NOTHROW(Thread::metric(mm(8), mm(4)));
}

void require_thread(const char* words, const char* name, double diameter_mm, double pitch_mm,
                    bool standard = true) {
  CAPTURE(words);
  const Found<NamedThread> found = find_thread(words);
  if (!found) FAIL(found.failure().message << " / " << found.failure().help);
  CHECK(found->name == name);
  CHECK(found->standard == standard);
  CHECK(found->note.empty() == standard);
  CHECK_THAT(in_mm(found->thread.diameter()), WithinRel(diameter_mm, 1e-12));
  CHECK_THAT(in_mm(found->thread.pitch()), WithinRel(pitch_mm, 1e-12));
}

TEST_CASE("metric designations are understood as they are written", "[joint][thread]") {
  require_thread("M10", "M10", 10, 1.5);
  require_thread("M10x1.5", "M10", 10, 1.5);
  require_thread("M10\u00d71", "M10x1", 10, 1);
  require_thread("M10 x 1.25", "M10x1.25", 10, 1.25);
  require_thread("M1.6", "M1.6", 1.6, 0.35);
  require_thread("M9x1", "M9x1", 9, 1);
  require_thread("M10x1.3", "M10x1.3", 10, 1.3, false);
  require_thread("M11x1.25", "M11x1.25", 11, 1.25, false);
  require_thread("M13x1.5", "M13x1.5", 13, 1.5, false);
}

TEST_CASE("unified designations are understood as they are written", "[joint][thread]") {
  require_thread("3/8-16 UNC", "3/8-16 UNC", 9.525, 25.4 / 16);
  require_thread("3/8-16", "3/8-16 UNC", 9.525, 25.4 / 16);
  require_thread("3/8-24 UNF", "3/8-24 UNF", 9.525, 25.4 / 24);
  require_thread("3/8-24 UNF-2A", "3/8-24 UNF", 9.525, 25.4 / 24);
  require_thread("1/4-20 UNC", "1/4-20 UNC", 6.35, 1.27);
  require_thread("3/8 UNF", "3/8-24 UNF", 9.525, 25.4 / 24);
  require_thread("#10-24 UNC", "#10-24 UNC", 0.19 * 25.4, 25.4 / 24);
  require_thread("1 1/4-7 UNC", "1 1/4-7 UNC", 31.75, 25.4 / 7);
  require_thread("1-1/4-7 UNC", "1 1/4-7 UNC", 31.75, 25.4 / 7);
  require_thread("0.375-16", "3/8-16 UNC", 9.525, 25.4 / 16);
  require_thread("1-14 UNS", "1-14 UNS", 25.4, 25.4 / 14, false);
}

TEST_CASE("a left-hand thread says so and keeps its geometry", "[joint][thread]") {
  const Found<NamedThread> metric = find_thread("M10x1-LH");
  REQUIRE(metric);
  REQUIRE(metric->name == "M10x1-LH");
  REQUIRE(metric->thread.left_hand());
  const Found<NamedThread> unified = find_thread("3/8-16 UNC-LH");
  REQUIRE(unified);
  REQUIRE(unified->name == "3/8-16 UNC-LH");
  REQUIRE(unified->thread.left_hand());
  REQUIRE_FALSE(find_thread("M10x1")->thread.left_hand());
}

TEST_CASE("a word that is no thread fails with what to write", "[joint][thread]") {
  for (const char* words :
       {"",     "M",          "m10",        "M10,5",  "M10x",  "M10x0", "M10x6",     "M8.5",
        "M15",  "3/8",        "3/8-16 UNF", "3/0-16", "10-24", "3/8-2", "M10x1.5x2", "bolt",
        "M1e9", "1/4-20 XYZ", "1/4-666366", "1-0.1",  "-LH",   "Mx1",   "#99-24"}) {
    CAPTURE(words);
    const Found<NamedThread> found = find_thread(words);
    REQUIRE_FALSE(found);
    CHECK_FALSE(found.failure().message.empty());
    CHECK_FALSE(found.failure().help.empty());
  }
  CHECK(find_thread("m10").failure().help == "did you mean M10");
  CHECK(find_thread("3/8-16 UNF").failure().help == "3/8 UNF has 24 threads per inch");
  CHECK(find_thread("M15").failure().help == "write the pitch, one of 1.5, 1 mm");
  CHECK(find_thread("10-24").failure().help == "did you mean #10-24");
}

TEST_CASE("every standard designation reads back as itself", "[joint][thread]") {
  std::size_t standard = 0;
  for (const char* words :
       {"M6", "M8x1", "M12x1.25", "M64x4", "#0-80 UNF", "#12-32 UNEF", "4-4 UNC", "1 11/16-18 UNEF"}) {
    const Found<NamedThread> found = find_thread(words);
    REQUIRE(found);
    CHECK(found->name == words);
    if (found->standard) ++standard;
  }
  REQUIRE(standard == 8);
}

}  // namespace
