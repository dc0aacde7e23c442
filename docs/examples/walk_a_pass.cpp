// Begins a pass in a book and walks through it: prints what is due, takes a line of standard input, says what
// came of it.
// usage: walk_a_pass BOOK SCHEDULE
//
// Wear eye protection. A wrong figure can break a bolt or let parts fly apart.
// The figures are yours: the tool computes, it does not approve. The maker's current data and local codes
// come first. What is safety-critical (rods, flywheels, brakes, lifting, pressure, aircraft) is for someone
// qualified.
#include <clampbook/bench/begin.h>
#include <clampbook/bench/walk.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <iostream>
#include <string>

using namespace clampbook;

namespace {

record::Timestamp now() {
  using std::chrono::duration_cast, std::chrono::milliseconds, std::chrono::system_clock;
  return {duration_cast<milliseconds>(system_clock::now().time_since_epoch()).count(), 0};
}

// What this face draws; it leaves out what it has no place for.
void draw(const bench::Item& item) {
  if (const auto* due = std::get_if<bench::Due>(&item))
    fmt::print("step {}: {}{}\n", due->step.step, due->step.bolt ? "bolt " + *due->step.bolt + ", " : "",
               due->step.text);
  if (const auto* recorded = std::get_if<bench::Recorded>(&item))
    fmt::print("recorded {}\n", recorded->answer.event->seq);
  if (const auto* found = std::get_if<bench::Found>(&item))
    for (const review::Finding& f : found->findings)
      fmt::print("  {}: {}\n  do: {}\n", f.slug, f.text, f.remedy);
  if (const auto* unread = std::get_if<bench::Unread>(&item))
    fmt::print("not recorded: {} {}\n", unread->given, unread->why);
  if (const auto* refused = std::get_if<bench::Refused>(&item))
    fmt::print("{}\n", refused->diagnostic.message);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return EXIT_FAILURE;
  try {
    for (const std::string_view caution : text::kStandingCautions) fmt::print("{}\n", caution);
    bench::BeginRequest request;
    request.file = text::read_file(argv[2], schedule::kLargestFile);
    const std::int64_t pass = bench::begin(argv[1], request, now).pass->number;
    bench::OpenBook book(argv[1], now);
    bench::Walk walk(pass, {});
    std::string line;
    bench::Outcome outcome = bench::start(book, walk);
    while (true) {
      for (const bench::Item& item : outcome.items) draw(item);
      if (outcome.signal != bench::Signal::go_on) return EXIT_SUCCESS;
      if (outcome.more) {
        outcome = bench::go_on(book, walk);
      } else if (std::getline(std::cin, line)) {
        outcome = bench::turn(book, walk, bench::LineIn{bench::LineIn::From::typed, line});
      } else {
        outcome = bench::turn(book, walk, bench::Notice::ended);
      }
    }
  } catch (const DiagnosticError& e) {
    fmt::print(stderr, "{}\n", e.diagnostics().front().message);
    return EXIT_FAILURE;
  }
}
