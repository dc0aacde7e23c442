#include <clampbook/text/json.h>

#include "tests/support/catch.h"

#include <bit>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <limits>
#include <random>
#include <stdexcept>

using namespace clampbook::text;

namespace {

std::string why_not(std::string_view text) {
  std::string why;
  CHECK_FALSE(parse_json(text, &why));
  CHECK_FALSE(why.empty());
  return why;
}

}  // namespace

TEST_CASE("JSON that is written reads back as it was", "[text][json]") {
  const std::string text =
      R"({"b":[1,-2.5,true,false,null,"N·m \"x\" \\ \n\t\u0001"],"a":{"deep":[[],{}]},"big":9223372036854775807,"z":8.0})";
  const auto json = parse_json(text);
  REQUIRE(json);
  CHECK(json->dump() == text);
  CHECK(json->find("b")->as_array()->size() == 6);
  CHECK(*json->find("big")->as_integer() == std::numeric_limits<std::int64_t>::max());
  CHECK(json->find("z")->as_integer() == nullptr);
  CHECK(json->find("z")->as_number() == 8.0);
  CHECK(json->find("none") == nullptr);
}

TEST_CASE("JSON keys keep the order in which they were set", "[text][json]") {
  Json json = Json::object();
  json.set("value", 30.0).set("unit", "N·m").set("n", 3).set("none", nullptr).set("list", Json::array());
  CHECK(json.dump() == R"({"value":30.0,"unit":"N·m","n":3,"none":null,"list":[]})");
}

TEST_CASE("JSON doubles are as short as can be and read back bit for bit", "[text][json]") {
  std::mt19937_64 random(5);
  for (int i = 0; i < 20'000; ++i) {
    const double value = std::bit_cast<double>(static_cast<std::uint64_t>(random()));
    if (!std::isfinite(value)) continue;
    const std::string text = Json(value).dump();
    const auto back = parse_json(text);
    REQUIRE(back);
    REQUIRE(std::bit_cast<std::uint64_t>(*back->as_number()) == std::bit_cast<std::uint64_t>(value));
  }
  CHECK(Json(0.1).dump() == "0.1");
  CHECK(Json(5e-324).dump() == "5e-324");
  CHECK(Json(-0.0).dump() == "-0.0");
  CHECK(Json(1e22).dump() == "1e+22");
}

TEST_CASE("numbers that are not finite are never written", "[text][json]") {
  CHECK_THROWS_AS(Json(std::nan("")).dump(), std::logic_error);
  CHECK_THROWS_AS(Json(HUGE_VAL).dump(), std::logic_error);
}

TEST_CASE("JSON that is ambiguous or broken is refused", "[text][json]") {
  CHECK(why_not(R"({"a":1,"b":2,"a":3})").find("'a' stands twice") != std::string::npos);
  CHECK(why_not(R"({"o":{"a":1,"a":1}})").find("'a' stands twice") != std::string::npos);
  for (const std::string_view text :
       {"", "{", "[1,]", "{\"a\":1,}", "01", "nan", "NaN", "Infinity", "1 2", "'a'", "1e999", "[1] x",
        "\"\xFF\"", "\"a\nb\"", "{a:1}", "// c\n1", "\"\\ud800\""}) {
    INFO(text);
    static_cast<void>(why_not(text));
  }
  CHECK(parse_json(R"([{"a":1},{"a":2}])"));
}

TEST_CASE("JSON nests to a depth of sixty-four", "[text][json]") {
  const auto nested = [](std::size_t depth) { return std::string(depth, '[') + std::string(depth, ']'); };
  CHECK(parse_json(nested(64)));
  CHECK(why_not(nested(65)).find("too deep") != std::string::npos);
  CHECK_FALSE(parse_json(std::string(1'000'000, '[')));
}

TEST_CASE("JSON strings hold text and nothing that breaks a line", "[text][json]") {
  std::string out;
  append_json_string(out, std::string_view("a\0\x1f\x7f\"\\\r\n\t°", 11));
  CHECK(out == "\"a\\u0000\\u001f\\u007f\\\"\\\\\\r\\n\\t°\"");
  out.clear();
  append_json_string(out, "bad\xFFgood·");
  CHECK(out == "\"bad\uFFFDgood·\"");
}
