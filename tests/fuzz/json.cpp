// JSON that is accepted prints as a text that is accepted and prints the same; and the two readers, one for
// plain text and one for all, agree: a space behind it sends a text to the second.
#include "tests/fuzz/fuzz.h"

#include <clampbook/text/json.h>
#include <clampbook/text/utf8.h>

using namespace clampbook;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string why;
  const auto json = text::parse_json(fuzz::as_text(data, size), &why);
  const auto strict = text::parse_json(std::string(fuzz::as_text(data, size)) + " ");
  fuzz::require(json.has_value() == strict.has_value() && (!json || json->dump() == strict->dump()),
                "both readers read the same", json ? json->dump() : why);
  if (!json) {
    fuzz::require(!why.empty() && text::printable(why) == why, "a refusal says why in what can be printed",
                  why);
    return 0;
  }
  fuzz::require_same_json(json->dump());
  return 0;
}
