#include <clampbook/text/utf8.h>

#include "tests/support/catch.h"

using namespace clampbook::text;

TEST_CASE("the first byte that is not UTF-8 is found", "[text][utf8]") {
  CHECK_FALSE(first_invalid_utf8(""));
  CHECK_FALSE(first_invalid_utf8("N·m 30° \U0001F529"));
  CHECK(first_invalid_utf8("ab\xFF") == 2U);
  CHECK(first_invalid_utf8("\xC3") == 0U);              // cut off
  CHECK(first_invalid_utf8("a\xC0\xAF") == 1U);         // overlong
  CHECK(first_invalid_utf8("\xED\xA0\x80") == 0U);      // a surrogate
  CHECK(first_invalid_utf8("\xF4\x90\x80\x80") == 0U);  // past U+10FFFF
}

TEST_CASE("characters are counted and not bytes", "[text][utf8]") {
  CHECK(count_characters("") == 0);
  CHECK(count_characters("N·m") == 3);
  CHECK(count_characters("a\xFF\xFE") == 3);
  CHECK(count_characters("e\u0301") == 2);
}

TEST_CASE("columns of a terminal are counted", "[text][utf8]") {
  CHECK(display_width("N·m") == 3);
  CHECK(display_width("e\u0301") == 1);
  CHECK(display_width("\u6F22\u5B57") == 4);
  CHECK(display_width("\U0001F529") == 2);
  CHECK(display_width("\u200B") == 0);
}

TEST_CASE("characters are taken from the front one by one", "[text][utf8]") {
  std::string_view text = "·\xFFz";
  CHECK(take_character(text) == U'·');
  CHECK(take_character(text) == U'\uFFFD');
  CHECK(take_character(text) == U'z');
  CHECK(text.empty());
  std::string out;
  append_character(out, U'°');
  CHECK(out == "°");
}

TEST_CASE("typed text cannot drive a terminal", "[text][utf8]") {
  CHECK(printable("a\x1B[31mb") == "a\uFFFD[31mb");
  CHECK(printable("\u202Eevil\u200F") == "\uFFFDevil\uFFFD");
  CHECK(printable("bell\a\u0085") == "bell\uFFFD\uFFFD");
  CHECK(printable("30 N·m") == "30 N·m");
  CHECK(printable("\xFF") == "\uFFFD");
}

TEST_CASE("an ASCII terminal gets ASCII", "[text][utf8]") {
  CHECK(to_ascii("30 ± 4 µm – 60°") == "30 +- 4 um - 60 deg");
  CHECK(to_ascii("≥ ½") == ">= ?");
}
