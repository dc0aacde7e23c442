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

// A space behind it sends the whole text to the strict reader.
void check_both_readers(const std::string& text) {
  INFO(text);
  const auto plain = parse_json(text), strict = parse_json(text + " ");
  REQUIRE(plain.has_value() == strict.has_value());
  if (plain) REQUIRE(plain->dump() == strict->dump());
}

TEST_CASE("plain JSON is read as any other", "[text][json]") {
  for (const std::string_view text : {"0",
                                      "-0",
                                      "-0.0",
                                      "00",
                                      "0.5",
                                      "-0.5",
                                      ".5",
                                      "5.",
                                      "-",
                                      "-5",
                                      "1e3",
                                      "1.5e3",
                                      "1.5E-3",
                                      "1e",
                                      "1.e3",
                                      "123456789012345678",
                                      "-123456789012345678",
                                      "1234567890123456789",
                                      "9223372036854775807",
                                      "9223372036854775808",
                                      "-9223372036854775808",
                                      "-9223372036854775809",
                                      "123456789012345678.25",
                                      "1234567890123456789.25",
                                      "0.1000000000000000055511151231257827021181583404541015625",
                                      "true",
                                      "tru",
                                      "truex",
                                      "false",
                                      "null",
                                      "nul",
                                      "\"\x7f\"",
                                      "\"°·\"",
                                      "\"\xed\xa0\x80\"",
                                      "\"\xc0\xaf\"",
                                      "\"\xf4\x90\x80\x80\"",
                                      "\"\xef\xbf\xbe\"",
                                      "\"\xe2\x82\"",
                                      "\"a\tb\"",
                                      "\"",
                                      "[1,2",
                                      "[1 ,2]",
                                      "[,]",
                                      "[]]",
                                      "{}}",
                                      "{\"a\"}",
                                      "{\"a\":}",
                                      "{\"a\":1,}",
                                      "{\"a\":1}{",
                                      "{\"a\":1,\"a\":2}",
                                      "{\"\":0}",
                                      "{\"a\":1,\"\\u0061\":2}",
                                      "\xef\xbb\xbf[]"})
    check_both_readers(std::string(text));
  check_both_readers("0." + std::string(400, '0') + "1");
  check_both_readers(std::string(63, '[') + R"({"a":[]})" + std::string(63, ']'));
  check_both_readers(std::string(62, '[') + R"({"a":[]})" + std::string(62, ']'));
  check_both_readers(std::string("\"a\0b\"", 5));
}

TEST_CASE("plain JSON that is cut or altered is judged as any other", "[text][json]") {
  const std::string text =
      R"({"seq":12,"at":"2026-05-04T09:30:00.000+02:00","value_Nm":30.25,"low":-1.5,"none":null,"on":[true,false,{"unit":"N·m"}],"empty":{},"list":[]})";
  check_both_readers(text);
  for (std::size_t length = 0; length < text.size(); ++length) check_both_readers(text.substr(0, length));
  std::mt19937 random(11);
  const std::string_view likely = "{}[]\",:.-+eE019 \\\n\x7f\xc2\xff";
  for (std::size_t at = 0; at < text.size(); ++at)
    for (const char c : likely) {
      std::string altered = text;
      altered[at] = c;
      check_both_readers(altered);
      altered.insert(at, 1, likely[random() % likely.size()]);
      check_both_readers(altered);
    }
  for (int i = 0; i < 20'000; ++i) {
    const double value = std::ldexp(static_cast<double>(random()), static_cast<int>(random() % 80) - 60);
    std::string digits = std::to_string(random() % 1'000'000) + "." + std::to_string(random());
    check_both_readers(random() % 2 == 0 ? digits : Json(value).dump());
  }
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
