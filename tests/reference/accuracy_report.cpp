// Prints the tables of docs/accuracy.md: how far the library is from every reference value and from the truth
// of synthetic pulls.
#include "tests/reference/accuracy_table.h"
#include "tests/reference/trace_accuracy.h"

#include <cstdio>
#include <exception>

int main() {
  try {
    std::fputs(reference::accuracy_tables().c_str(), stdout);
    std::fputs("\n", stdout);
    std::fputs(reference::trace_tables().c_str(), stdout);
    return 0;
  } catch (const std::exception& e) {
    std::fprintf(stderr, "%s\n", e.what());
    return 1;
  }
}
