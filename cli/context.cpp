#include "cli/command.h"

#include <clampbook/text/utf8.h>

#include <ostream>

namespace clampbook::cli {

void write_json(Context& context, const text::Json& json) {
  std::string line = json.dump();
  line.push_back('\n');
  context.out.write(line.data(), static_cast<std::streamsize>(line.size()));
}

report::TextStyle text_style(const Context& context, units::System written) {
  report::TextStyle out{context.system, context.ascii, context.colour};
  out.written = written;
  return out;
}

namespace {

// Units have an ASCII spelling of their own ("Nm", "ft-lb"); the rest is replaced sign by sign.
std::string ascii_text(std::string_view text) {
  std::string out(text);
  for (const units::Unit& unit : units::all_units()) {
    if (unit.spelling.find("·") == std::string_view::npos) continue;
    for (std::size_t at = out.find(unit.spelling); at != std::string::npos;
         at = out.find(unit.spelling, at + unit.ascii.size()))
      out.replace(at, unit.spelling.size(), unit.ascii);
  }
  return text::to_ascii(out);
}

}  // namespace

void write_text(Context& context, std::string_view text) {
  if (context.ascii) {
    const std::string plain = ascii_text(text);
    context.out.write(plain.data(), static_cast<std::streamsize>(plain.size()));
  } else {
    context.out.write(text.data(), static_cast<std::streamsize>(text.size()));
  }
}

void write_error(Context& context, std::string_view text) {
  context.err << (context.ascii ? ascii_text(text) : std::string(text));
}

ExitStatus status_of(const std::vector<review::Finding>& findings) {
  return review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
}

}  // namespace clampbook::cli
