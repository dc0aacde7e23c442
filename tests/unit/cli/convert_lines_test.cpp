#include "cli/convert_lines.h"

#include <clampbook/text/error.h>
#include <clampbook/text/json.h>

#include "tests/support/catch.h"

#include <sstream>
#include <streambuf>

using namespace clampbook;

namespace {

struct Answer {
  std::string out;
  std::string err;
  std::size_t bad;
};

Answer convert(const std::string& text, const cli::LineConversion& how) {
  std::istringstream in(text);
  std::ostringstream out, err;
  const std::size_t bad = cli::convert_lines(in, out, err, how);
  return {out.str(), err.str(), bad};
}

const cli::LineConversion kToNewtonMetres{.target = &units::newton_metre_unit()};

}  // namespace

TEST_CASE("lines are converted to the unit that was asked for", "[cli][convert]") {
  const Answer answer = convert("22.1 ft·lbf\n\r\n  \n2 kgf·m\r\n30 N m", kToNewtonMetres);
  CHECK(answer.out == "22.1 ft·lbf = 29.9636 N·m\n2 kgf·m = 19.6133 N·m\n30 N·m = 30 N·m\n");
  CHECK(answer.err.empty());
  CHECK(answer.bad == 0);
}

TEST_CASE("lines without a target go to the counterpart of their unit", "[cli][convert]") {
  const Answer answer = convert("30 N·m\n1 N·m\n25.4 mm\n60°\n-40 °C\n", {});
  CHECK(
      answer.out ==
      "30 N·m = 22.1269 ft·lbf\n1 N·m = 8.85075 in·lbf\n25.4 mm = 1 in\n60° = 1.0472 rad\n-40 °C = -40 °F\n");
}

TEST_CASE("an ASCII terminal gets ASCII units", "[cli][convert]") {
  CHECK(convert("30 N·m\n60°\n", {.ascii = true}).out == "30 Nm = 22.1269 ft-lb\n60 deg = 1.0472 rad\n");
}

TEST_CASE("a bad line is shown with its number and the others go on", "[cli][convert]") {
  const Answer answer = convert("30 N·m\n\n30 Nmx\n1,5 N·m\n5 mm\n31 N·m\n", kToNewtonMetres);
  CHECK(answer.out == "30 N·m = 30 N·m\n31 N·m = 31 N·m\n");
  CHECK(answer.bad == 3);
  CHECK(answer.err ==
        "standard input:3:4: error: unknown unit 'Nmx' [unknown-unit]\n"
        "    3 | 30 Nmx\n"
        "      |    ^^^\n"
        "   help: did you mean N·m\n"
        "standard input:4:1: error: '1,5' is written with a decimal comma [decimal-comma]\n"
        "    4 | 1,5 N·m\n"
        "      | ^^^\n"
        "   help: use a decimal point: 1.5\n"
        "standard input:5:1: error: a length cannot be expressed in N·m [wrong-dimension]\n"
        "    5 | 5 mm\n"
        "      | ^^^^\n"
        "   help: N·m is a unit of torque\n");
}

TEST_CASE("machine output is one object for each line that holds anything", "[cli][convert]") {
  const Answer answer =
      convert("30 N·m\n\n+22.5 ft lb\n85\n1e3 N·m\n", {.target = &units::foot_pound_unit(), .json = true});
  CHECK(answer.bad == 1);
  CHECK(answer.err.empty());
  CHECK(answer.out ==
        R"({"line":1,"value":30.0,"from":"N·m","to":"ft·lbf","result":22.126864478317962}
{"line":3,"value":22.5,"from":"ft·lbf","to":"ft·lbf","result":22.5}
{"line":4,"error":{"slug":"missing-unit","text":"'85' has no unit"}}
{"line":5,"value":1e3,"from":"N·m","to":"ft·lbf","result":737.5621492772653}
)");
  std::istringstream lines(answer.out);
  for (std::string line; std::getline(lines, line);) CHECK(text::parse_json(line));
}

TEST_CASE("a value that no double can hold in the new unit is refused", "[cli][convert]") {
  const Answer answer = convert("1e308 m\n", {.target = &units::millimetre_unit(), .json = true});
  CHECK(answer.out ==
        "{\"line\":1,\"error\":{\"slug\":\"bad-number\",\"text\":\"the value is too large to be given in "
        "mm\"}}\n");
}

TEST_CASE("lines are the same however the stream is cut", "[cli][convert]") {
  // Gives a few bytes at a time, as pipes and people do.
  class Drops : public std::streambuf {
   public:
    Drops(std::string text, std::size_t size) : text_(std::move(text)), size_(size) {}

   protected:
    int_type underflow() override {
      if (at_ >= text_.size()) return traits_type::eof();
      char* const from = text_.data() + at_;
      const std::size_t n = std::min(size_, text_.size() - at_);
      setg(from, from, from + n);
      at_ += n;
      return traits_type::to_int_type(*from);
    }

   private:
    std::string text_;
    std::size_t size_;
    std::size_t at_ = 0;
  };
  std::string text = "\uFEFF";
  for (int i = 0; i < 50; ++i) text += std::to_string(i) + " ft·lbf\r\n" + (i % 7 == 0 ? "junk\n" : "");
  text += "3 N·m";
  const Answer whole = convert(text, kToNewtonMetres);
  CHECK(whole.bad == 8);
  for (const std::size_t size : {1U, 2U, 3U, 7U, 64U}) {
    Drops drops(text, size);
    std::istream in(&drops);
    std::ostringstream out, err;
    CHECK(cli::convert_lines(in, out, err, kToNewtonMetres) == whole.bad);
    CHECK(out.str() == whole.out);
    CHECK(err.str() == whole.err);
  }
}

TEST_CASE("an endless line is refused without being kept", "[cli][convert]") {
  const Answer answer = convert("30 N·m" + std::string(300'000, ' ') + "x\n31 N·m\n", kToNewtonMetres);
  CHECK(answer.bad == 1);
  CHECK(answer.out == "31 N·m = 31 N·m\n");
  CHECK(answer.err.find("[too-large]") != std::string::npos);
  CHECK(answer.err.size() < 1000);
}

TEST_CASE("a failing output stops the conversion", "[cli][convert]") {
  std::istringstream in("30 N·m\n");
  std::ostringstream out, err;
  out.setstate(std::ios::badbit);
  CHECK_THROWS_AS(cli::convert_lines(in, out, err, kToNewtonMetres), StoreError);
}
