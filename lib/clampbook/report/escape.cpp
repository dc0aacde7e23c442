#include <clampbook/report/escape.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

namespace clampbook::report {

namespace {

constexpr char32_t kReplacement = 0xFFFD;

// XML has no way to write these; HTML frowns on them.
bool is_noncharacter(char32_t c) {
  return (c & 0xFFFE) == 0xFFFE || (c >= 0xFDD0 && c <= 0xFDEF);
}

bool is_plain(char c) {
  return c >= ' ' && c <= '~' && c != '&' && c != '<' && c != '>' && c != '"' && c != '\'';
}

}  // namespace

void append_escaped(std::string& out, std::string_view text) {
  while (!text.empty()) {
    std::size_t plain = 0;
    while (plain < text.size() && is_plain(text[plain])) ++plain;
    out += text.substr(0, plain);
    text.remove_prefix(plain);
    if (text.empty()) return;
    const char32_t c = text::take_character(text);
    switch (c) {
      case U'&':
        out += "&amp;";
        break;
      case U'<':
        out += "&lt;";
        break;
      case U'>':
        out += "&gt;";
        break;
      case U'"':
        out += "&quot;";
        break;
      case U'\'':
        out += "&#39;";
        break;
      default:
        text::append_character(out, text::is_control(c) || is_noncharacter(c) ? kReplacement : c);
    }
  }
}

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  append_escaped(out, text);
  return out;
}

std::string style_string(std::string_view text) {
  std::string out = "\"";
  while (!text.empty()) {
    const char32_t c = text::take_character(text);
    const bool plain =
        (c >= U'a' && c <= U'z') || (c >= U'A' && c <= U'Z') || (c >= U'0' && c <= U'9') || c == U' ';
    if (plain)
      out.push_back(static_cast<char>(c));
    else
      out += fmt::format("\\{:x} ", static_cast<std::uint32_t>(
                                        text::is_control(c) || is_noncharacter(c) ? kReplacement : c));
  }
  return out + "\"";
}

std::string shortened(std::string_view text, std::size_t most) {
  std::string out;
  for (std::size_t i = 0; !text.empty(); ++i) {
    if (i == most) return out + "…";
    text::append_character(out, text::take_character(text));
  }
  return out;
}

}  // namespace clampbook::report
