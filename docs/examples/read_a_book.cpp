// Reads a book, verifies every line, and says how far each pass has come.
// usage: read_a_book BOOK
//
// Wear eye protection. A wrong figure can break a bolt or let parts fly apart.
// The figures are yours: the tool computes, it does not approve. The maker's current data and local codes
// come first. What is safety-critical (rods, flywheels, brakes, lifting, pressure, aircraft) is for someone
// qualified.
#include <clampbook/record/book_file.h>
#include <clampbook/review/finding.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <cstdlib>
#include <vector>

using namespace clampbook;

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: read_a_book BOOK\n");
    return EXIT_FAILURE;
  }
  try {
    const record::Book book = record::read_book(argv[1]);  // takes no lock
    for (const std::string_view caution : text::kStandingCautions) fmt::print("{}\n", caution);
    fmt::print("{} events hold, {} lines do not\n", book.events.size(), book.damages.size());
    const std::vector<review::Pass> passes = review::read_passes(book);
    for (const review::Pass& pass : passes) {
      const review::Progress progress(pass);
      const auto findings = review::find_findings(book, passes, pass, review::Until::so_far);
      fmt::print("pass {}, {}: {} of {} steps, {} findings\n", pass.number, pass.title,
                 progress.filled_count(), pass.plan.steps.size(), findings.size());
      for (const review::Finding& f : findings)
        fmt::print("  {} [{}]: {}\n", review::name(f.severity), f.slug, f.text);
    }
  } catch (const DiagnosticError& e) {
    fmt::print(stderr, "{}: {}\n", argv[1], e.diagnostics().front().message);
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
