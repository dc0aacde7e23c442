#include "cli/command.h"

#include <clampbook/text/utf8.h>

#include <ostream>

namespace clampbook::cli {

void write_json(Context& context, const text::Json& json) {
  std::string line = json.dump();
  line.push_back('\n');
  context.out.write(line.data(), static_cast<std::streamsize>(line.size()));
}

report::TextStyle text_style(const Context& context) { return {context.system, context.ascii, context.colour}; }

void write_text(Context& context, std::string_view text) {
  if (context.ascii) {
    const std::string plain = text::to_ascii(text);
    context.out.write(plain.data(), static_cast<std::streamsize>(plain.size()));
  } else {
    context.out.write(text.data(), static_cast<std::streamsize>(text.size()));
  }
}

}  // namespace clampbook::cli
