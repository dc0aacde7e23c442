#include <clampbook/text/utf8.h>

#include <utf8.h>

#include <algorithm>
#include <array>
#include <iterator>

namespace clampbook::text {

std::optional<std::size_t> first_invalid_utf8(std::string_view bytes) {
  const auto* const end = bytes.data() + bytes.size();
  const auto* const bad = utf8::find_invalid(bytes.data(), end);
  if (bad == end) return std::nullopt;
  return static_cast<std::size_t>(bad - bytes.data());
}

char32_t take_character(std::string_view& text) {
  const auto first = static_cast<unsigned char>(text.front());
  if (first < 0x80) {
    text.remove_prefix(1);
    return first;
  }
  const char* at = text.data();
  const char* const end = text.data() + text.size();
  try {
    const auto character = static_cast<char32_t>(utf8::next(at, end));
    text.remove_prefix(static_cast<std::size_t>(at - text.data()));
    return character;
  } catch (const utf8::exception&) {
    text.remove_prefix(1);
    return 0xFFFD;
  }
}

void append_character(std::string& out, char32_t character) {
  utf8::append(static_cast<std::uint32_t>(character), std::back_inserter(out));
}

std::string with_valid_bytes(std::string_view bytes) {
  std::string out(bytes);
  for (std::size_t at = 0; const auto bad = first_invalid_utf8(std::string_view(out).substr(at));) {
    at += *bad;
    out[at] = '?';
  }
  return out;
}

std::string as_utf8(std::string_view bytes) {
  if (!first_invalid_utf8(bytes)) return std::string(bytes);
  std::string out;
  while (!bytes.empty()) append_character(out, take_character(bytes));
  return out;
}

std::size_t count_characters(std::string_view text) {
  std::size_t n = 0;
  for (; !text.empty(); ++n) static_cast<void>(take_character(text));
  return n;
}

namespace {

struct Range {
  char32_t first, last;
};

// Combining marks and joiners that occur in typed notes (Unicode 15, blocks named in the comments).
constexpr std::array kNarrowest{
    Range{0x0300, 0x036F},  // combining diacritical marks
    Range{0x1AB0, 0x1AFF},  // ... extended
    Range{0x1DC0, 0x1DFF},  // ... supplement
    Range{0x200B, 0x200D},  // zero width space, joiners
    Range{0x20D0, 0x20FF},  // combining marks for symbols
    Range{0xFE00, 0xFE0F},  // variation selectors
    Range{0xFE20, 0xFE2F},  // combining half marks
    Range{0xFEFF, 0xFEFF},  // byte order mark
};

constexpr std::array kWide{
    Range{0x1100, 0x115F},   Range{0x2E80, 0x303E},   Range{0x3041, 0x33FF},   Range{0x3400, 0x4DBF},
    Range{0x4E00, 0x9FFF},   Range{0xA000, 0xA4CF},   Range{0xAC00, 0xD7A3},   Range{0xF900, 0xFAFF},
    Range{0xFE30, 0xFE6F},   Range{0xFF00, 0xFF60},   Range{0xFFE0, 0xFFE6},   Range{0x1F300, 0x1F64F},
    Range{0x1F680, 0x1F6FF}, Range{0x1F900, 0x1F9FF}, Range{0x20000, 0x3FFFD},
};

template <std::size_t N>
bool within(const std::array<Range, N>& ranges, char32_t c) {
  return std::any_of(ranges.begin(), ranges.end(), [c](Range r) { return c >= r.first && c <= r.last; });
}

}  // namespace

std::size_t display_width(std::string_view text) {
  std::size_t columns = 0;
  while (!text.empty()) {
    const char32_t c = take_character(text);
    if (c < 0x300) {
      ++columns;
    } else if (!within(kNarrowest, c)) {
      columns += within(kWide, c) ? std::size_t{2} : std::size_t{1};
    }
  }
  return columns;
}

bool is_control(char32_t c) {
  return c < 0x20 || (c >= 0x7F && c <= 0x9F) || (c >= 0x200E && c <= 0x200F) ||
         (c >= 0x2028 && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069) || c == 0x061C || c == 0xFEFF;
}

std::string printable(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const char32_t c = take_character(text);
    append_character(out, is_control(c) ? U'\uFFFD' : c);
  }
  return out;
}

std::string to_ascii(std::string_view text) {
  struct Replacement {
    char32_t from;
    std::string_view to;
  };
  static constexpr std::array kReplacements{
      Replacement{U'·', "-"},   Replacement{U'⋅', "-"},      Replacement{U'°', " deg"},
      Replacement{U'±', "+-"},  Replacement{U'–', "-"},      Replacement{U'—', "-"},
      Replacement{U'…', "..."}, Replacement{U'×', "x"},      Replacement{U'µ', "u"},
      Replacement{U'μ', "u"},   Replacement{U'²', "2"},      Replacement{U'≤', "<="},
      Replacement{U'≥', ">="},  Replacement{U'→', "->"},     Replacement{U'☐', "[ ]"},
      Replacement{U'‘', "'"},   Replacement{U'’', "'"},      Replacement{U'“', "\""},
      Replacement{U'”', "\""},  Replacement{U'\u00A0', " "}, Replacement{U'█', "#"},
      Replacement{U'▏', "|"},   Replacement{U'─', "-"},      Replacement{U'│', "|"},
      Replacement{U'└', "`"},   Replacement{U'├', "|"},      Replacement{U'●', "*"},
      Replacement{U'○', "o"},
  };
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const char32_t c = take_character(text);
    if (c < 0x80) {
      out.push_back(static_cast<char>(c));
      continue;
    }
    const auto* const found = std::find_if(kReplacements.begin(), kReplacements.end(),
                                           [c](const Replacement& r) { return r.from == c; });
    out.append(found == kReplacements.end() ? std::string_view("?") : found->to);
  }
  return out;
}

}  // namespace clampbook::text
