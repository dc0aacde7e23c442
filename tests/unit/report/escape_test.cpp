#include <clampbook/report/escape.h>

#include "tests/support/catch.h"

using namespace clampbook;  // NOLINT(google-build-using-namespace)
using report::escaped;

TEST_CASE("what somebody typed stays text between tags and in attributes", "[report][escape]") {
  REQUIRE(escaped("<script>\"a\" & 'b'</script>") ==
          "&lt;script&gt;&quot;a&quot; &amp; &#39;b&#39;&lt;/script&gt;");
  REQUIRE(escaped("30 N·m ± 4 % 😀") == "30 N·m ± 4 % 😀");
  REQUIRE(escaped("").empty());
}

TEST_CASE("characters that steer or reorder what stands beside them are shown as replaced",
          "[report][escape]") {
  REQUIRE(escaped(std::string_view("a\0b", 3)) == "a\uFFFDb");
  REQUIRE(escaped("a\tb\nc") == "a\uFFFDb\uFFFDc");
  REQUIRE(escaped("\u202Eabc\u200F") == "\uFFFDabc\uFFFD");
  REQUIRE(escaped("\xff\xfe") == "\uFFFD\uFFFD");  // no UTF-8
  REQUIRE(escaped("\uFFFE") == "\uFFFD");          // not allowed in XML
}

TEST_CASE("a string of a style sheet can end neither itself nor its element", "[report][escape]") {
  REQUIRE(report::style_string("Cover 1") == "\"Cover 1\"");
  REQUIRE(report::style_string("</style>") == "\"\\3c \\2f style\\3e \"");
  REQUIRE(report::style_string("a\"b\\") == "\"a\\22 b\\5c \"");
}

TEST_CASE("a text is shortened between characters", "[report][escape]") {
  REQUIRE(report::shortened("äöü", 3) == "äöü");
  REQUIRE(report::shortened("äöüß", 3) == "äöü…");
  REQUIRE(report::shortened("", 3).empty());
}
