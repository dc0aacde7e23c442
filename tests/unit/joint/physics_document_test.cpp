#include "tests/support/catch.h"

#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <string>

namespace {

std::string read(const std::filesystem::path& path) {
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::set<std::string> matches(const std::string& text, const std::regex& pattern) {
  std::set<std::string> out;
  for (std::sregex_iterator it(text.begin(), text.end(), pattern), end; it != end; ++it) out.insert((*it)[1]);
  return out;
}

TEST_CASE("every equation that a docstring names stands in the physics document", "[joint][documents]") {
  const std::filesystem::path root = CLAMPBOOK_SOURCE_DIR;
  const std::string document = read(root / "docs" / "physics.md");
  const std::set<std::string> equations = matches(document, std::regex(R"(\((\d+\.\d+)\))"));
  const std::set<std::string> sections = matches(document, std::regex(R"(\n## (\d+)\. )"));
  REQUIRE(equations.size() > 30);
  std::size_t named = 0;
  for (const auto& entry : std::filesystem::directory_iterator(root / "lib/clampbook/joint")) {
    if (!entry.is_regular_file()) continue;
    const std::string source = read(entry.path());
    CAPTURE(entry.path().filename());
    for (const std::string& number : matches(source, std::regex(R"(equations? (\d+\.\d+))"))) {
      CAPTURE(number);
      CHECK(equations.count(number) == 1);
      ++named;
    }
    for (const std::string& number : matches(source, std::regex(R"((?:and|to) (\d+\.\d+)\b)"))) {
      if (source.find("equations ") == std::string::npos) continue;
      CAPTURE(number);
      CHECK(equations.count(number) == 1);
    }
    for (const std::string& number : matches(source, std::regex(R"(physics\.md section (\d+))"))) {
      CAPTURE(number);
      CHECK(sections.count(number) == 1);
      ++named;
    }
  }
  CHECK(named > 30);
}

// A table without a source is hearsay.
TEST_CASE("every data table names its source", "[joint][documents]") {
  const std::filesystem::path root = CLAMPBOOK_SOURCE_DIR;
  std::size_t tables = 0;
  for (const auto& entry : std::filesystem::directory_iterator(root / "lib/clampbook/joint/data")) {
    CAPTURE(entry.path().filename());
    CHECK(read(entry.path()).find("// Source: ") != std::string::npos);
    ++tables;
  }
  CHECK(tables >= 12);
}

}  // namespace
