#include <clampbook/text/words.h>

#include "tests/support/catch.h"

#include <array>

using namespace clampbook::text;

namespace {
constexpr std::array<std::string_view, 5> kStages{"torque", "angle", "stretch", "loosen", "recheck"};
}

TEST_CASE("a slip of the finger finds the word that was meant", "[text][words]") {
  CHECK(did_you_mean("torqe", kStages) == "did you mean torque");
  CHECK(did_you_mean("toqrue", kStages) == "did you mean torque");
  CHECK(did_you_mean("Torque", kStages) == "did you mean torque");
  CHECK(did_you_mean("anglee", kStages) == "did you mean angle");
  CHECK(did_you_mean("wibble", kStages).empty());
  CHECK(did_you_mean("", kStages).empty());
  CHECK(did_you_mean(std::string(100, 't'), kStages).empty());
}

TEST_CASE("the nearest word comes first and at most a few are named", "[text][words]") {
  constexpr std::array<std::string_view, 5> words{"cat", "cut", "cot", "Cit", "dog"};
  CHECK(close_matches("cat", words) == std::vector<std::string>{"cat"});
  CHECK(close_matches("cet", words, 2) == std::vector<std::string>{"cat", "cut"});
  CHECK(did_you_mean("cet", words) == "did you mean cat, cut or cot");
}

TEST_CASE("words are listed as in a sentence", "[text][words]") {
  constexpr std::array<std::string_view, 3> words{"a", "b", "c"};
  CHECK(list_words(words) == "a, b or c");
  CHECK(list_words(words, "and") == "a, b and c");
  CHECK(list_words(std::span(words).first(2)) == "a or b");
  CHECK(list_words(std::span(words).first(1)) == "a");
  CHECK(list_words({}).empty());
}
