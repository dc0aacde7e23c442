// Prints the tables of docs/accuracy.md: how far the library is from every reference value.
#include "tests/reference/accuracy_table.h"

#include <cstdio>
#include <exception>

int main() {
  try {
    std::fputs(reference::accuracy_tables().c_str(), stdout);
    return 0;
  } catch (const std::exception& e) {
    std::fprintf(stderr, "%s\n", e.what());
    return 1;
  }
}
