#include "tests/fuzz/fuzz.h"

#include <clampbook/text/json.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>

namespace clampbook::fuzz {

void require(bool holds, std::string_view promise, std::string_view detail) {
  if (holds) return;
  fmt::print(stderr, "broken promise: {}\n{}\n", promise, detail);
  std::fflush(nullptr);
  std::abort();
}

bool takes_its_time(std::size_t size) {
  return always_takes_its_time || size % 16 == 0;
}

std::string_view as_text(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

text::SourcePtr as_source(const std::uint8_t* data, std::size_t size) {
  return std::make_shared<const text::Source>("input", std::string(as_text(data, size)));
}

namespace {

void require_inside(const text::Location& at) {
  require(at.source != nullptr, "a place belongs to a source");
  require(at.offset <= at.source->text().size(), "a place lies in its source");
}

}  // namespace

void require_helpful(const DiagnosticError& refusal) {
  require(!refusal.diagnostics().empty(), "a refusal has a reason");
  require(refusal.diagnostics().size() <= text::Diagnostics::kMost, "at most twenty problems are kept");
  for (const text::Diagnostic& d : refusal.diagnostics()) {
    require(!d.slug.empty() && !d.message.empty(), "a problem has a name and a message");
    require(d.at || !d.file.empty(), "a problem has its place", d.message);
    if (d.at) require_inside(*d.at);
    if (d.also) require_inside(*d.also);
    const std::string shown = text::render(d);
    require(shown.ends_with('\n'), "a shown problem ends its line", shown);
    require(!text::first_invalid_utf8(shown), "a shown problem is UTF-8", shown);
    require_same_json(text::to_json(d).dump());
  }
}

void require_same_json(std::string_view text) {
  std::string why;
  const auto json = text::parse_json(text, &why);
  require(json.has_value(), "what is printed as JSON can be read: " + why, text);
  require(json->dump() == text, "JSON that is read prints as it was", text);
}

}  // namespace clampbook::fuzz
