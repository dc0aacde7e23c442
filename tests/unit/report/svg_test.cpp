#include <clampbook/report/chart.h>
#include <clampbook/report/paper.h>
#include <clampbook/report/svg.h>

#include "tests/support/catch.h"

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using namespace clampbook::report;
using Catch::Matchers::WithinAbs;

TEST_CASE("coordinates have no digits that say nothing", "[report][svg]") {
  REQUIRE(coordinate(12) == "12");
  REQUIRE(coordinate(12.5) == "12.5");
  REQUIRE(coordinate(-3.001) == "-3");
  REQUIRE(coordinate(-0.001) == "0");
  REQUIRE(coordinate(0.126) == "0.13");
}

TEST_CASE("a drawing has its name and its description for those who can't see it", "[report][svg]") {
  Svg svg(10, 20, "a <title>", "what it \"shows\"", Setting::page);
  svg.text(1, 2, "5 < 6", 12);
  const std::string drawn = std::move(svg).finish();
  REQUIRE(drawn ==
          "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 10 20\" role=\"img\" aria-label=\"a "
          "&lt;title&gt;\"><title>a &lt;title&gt;</title><desc>what it &quot;shows&quot;</desc>\n"
          "<text x=\"1\" y=\"2\" font-size=\"12\">5 &lt; 6</text>\n</svg>\n");
}

TEST_CASE("a drawing that is a file says the notice and the cautions below it", "[report][svg]") {
  Svg svg(720, 100, "a title", "what it shows", Setting::file, "Invented <data>.");
  svg.text(1, 2, "drawn", 12);
  const std::string drawn = std::move(svg).finish();
  for (const char* words :
       {">drawn<", ">Invented &lt;data&gt;.<", ">! Wear eye protection. A wrong figure can break"}) {
    CAPTURE(words);
    REQUIRE(drawn.find(words) != std::string::npos);
  }
  REQUIRE(drawn.find("viewBox=\"0 0 720 100\"") == std::string::npos);  // room was made for them
  Svg page(720, 100, "a title", "what it shows", Setting::page, "Invented <data>.");
  REQUIRE(std::move(page).finish().find("Wear") == std::string::npos);
}

TEST_CASE("round figures lie inside the scale and are round", "[report][chart]") {
  REQUIRE(round_figures(0, 10, 5) == std::vector<double>{0, 2, 4, 6, 8, 10});
  REQUIRE(round_figures(28, 32, 4) == std::vector<double>{28, 29, 30, 31, 32});
  for (const double figure : round_figures(0.13, 0.21, 4)) {
    REQUIRE(figure >= 0.13 - 1e-12);
    REQUIRE(figure <= 0.21 + 1e-12);
  }
}

TEST_CASE("a scale keeps what lies outside at its ends", "[report][chart]") {
  const Scale scale(10, 20, 100, 200);
  REQUIRE_THAT(scale(15), WithinAbs(150, 1e-9));
  REQUIRE_THAT(scale(99), WithinAbs(200, 1e-9));
  REQUIRE_THAT(scale(-5), WithinAbs(100, 1e-9));
  const Scale upwards(0, 1, 50, 10);
  REQUIRE_THAT(upwards(1), WithinAbs(10, 1e-9));
}

TEST_CASE("what belongs together is not parted and nothing is lost", "[report][paper]") {
  Paper paper(100);
  Block first, second, endless;
  first.put_markup("A", 60);
  second.put_markup("B", 30);
  second.put_markup("C", 30);
  paper.add(first);
  paper.add(second);  // 60 mm do not fit on what is left
  REQUIRE(paper.pages() == std::vector<std::string>{"A", "BC"});
  endless.put("p", std::string(10'000, 'x'), "", 12);
  paper.add(endless);
  std::size_t letters = 0;
  for (const std::string& page : paper.pages())
    letters += static_cast<std::size_t>(std::count(page.begin(), page.end(), 'x'));
  REQUIRE(letters == 10'000);
  REQUIRE(paper.pages().size() > 4);
}

TEST_CASE("a long text is cut between characters", "[report][paper]") {
  Block block;
  std::string text;
  for (int i = 0; i < 4000; ++i) text += "ä";
  block.put("p", text, "", 19.2);
  REQUIRE(block.html().find("\uFFFD") == std::string::npos);
}
