#include <clampbook/record/seal.h>
#include <clampbook/record/torn.h>

#include <algorithm>
#include <string>

namespace clampbook::record {

namespace {

// No text in a line can hold these: the quotes of a string's own are written as \".
constexpr std::string_view kAfter = ",\"after\":\"";
constexpr std::string_view kSeal = ",\"seal\":";
constexpr std::size_t kDigits = 32;

std::string_view without_zeros(std::string_view line) {
  const std::size_t end = line.find_last_not_of('\0') + 1;  // npos + 1 is 0
  return line.size() - end >= 2 ? line.substr(0, end) : line;
}

}  // namespace

bool is_torn(std::string_view line) {
  const std::string_view front = without_zeros(line);
  if (front.empty()) return !line.empty();
  if (!front.starts_with('{')) return false;
  const std::size_t seal = front.find(kSeal), after = front.rfind(kAfter);
  if (after == std::string_view::npos) return seal == std::string_view::npos;

  // From `after` on nothing is free: the digits of the line above (none in the first line), then the line's
  // own seal.
  const std::string_view rest = front.substr(after + kAfter.size());
  const std::size_t digits = std::min(rest.find_first_not_of("0123456789abcdef"), rest.size());
  if (digits == rest.size()) return digits <= kDigits && seal == std::string_view::npos;
  if ((digits != 0 && digits != kDigits) || rest[digits] != '"') return false;
  const std::string_view body = front.substr(0, after + kAfter.size() + digits + 1);
  const std::string whole = sealed(body);
  return (seal == std::string_view::npos || seal == body.size()) && whole.size() > front.size() &&
         whole.starts_with(front);
}

}  // namespace clampbook::record
