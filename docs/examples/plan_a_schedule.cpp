// Reads a schedule and prints its steps in the order in which the bolts are tightened.
// usage: plan_a_schedule FILE
//
// Wear eye protection. A wrong figure can break a bolt or let parts fly apart.
// The figures are yours: the tool computes, it does not approve. The maker's current data and local codes
// come first. What is safety-critical (rods, flywheels, brakes, lifting, pressure, aircraft) is for someone
// qualified.
#include <clampbook/plan/plan.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/diagnostic.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fmt/format.h>

#include <cstdlib>

using namespace clampbook;

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: plan_a_schedule FILE\n");
    return EXIT_FAILURE;
  }
  try {
    const schedule::Schedule schedule =
        schedule::read_schedule(text::read_file(argv[1], schedule::kLargestFile));
    const plan::Plan plan = plan::make_plan(schedule);
    fmt::print("{}\n{}\n", plan.title, plan.notice);
    for (const std::string_view caution : text::kStandingCautions) fmt::print("{}\n", caution);
    for (const plan::Step& step : plan.steps) fmt::print("{:4}  {}\n", step.step, step.text);
  } catch (const InputError& e) {
    // Every problem of the file, each with its place, its line and a caret.
    for (const text::Diagnostic& d : e.diagnostics()) fmt::print(stderr, "{}", text::render(d));
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
