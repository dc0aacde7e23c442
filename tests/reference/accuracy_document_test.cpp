#include "tests/reference/accuracy_table.h"
#include "tests/reference/trace_accuracy.h"
#include "tests/support/catch.h"

#include <fstream>
#include <sstream>
#include <string>

TEST_CASE("the accuracy document prints what the references give today", "[reference][docs]") {
  std::ifstream file(CLAMPBOOK_SOURCE_DIR "/docs/accuracy.md");
  std::stringstream document;
  document << file.rdbuf();
  REQUIRE(document.str().size() > 1000);
  std::istringstream lines(reference::accuracy_tables() + reference::trace_tables());
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(document.str().find(line + "\n") != std::string::npos);
  }
}
