#include <clampbook/report/escape.h>
#include <clampbook/report/page.h>

#include <fmt/format.h>

namespace clampbook::report {

std::string page_start(std::string_view title, std::string_view style) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
      "img-src data:\">\n<link rel=\"icon\" href=\"data:,\">\n<title>{}</title>\n<style>\n{}\n</style>\n"
      "</head>\n<body>\n",
      escaped(title), style);
}

std::string_view page_end() {
  return "</body>\n</html>\n";
}

std::string element(std::string_view tag, std::string_view text, std::string_view style) {
  std::string out = fmt::format("<{}{}>", tag, style.empty() ? "" : fmt::format(" class=\"{}\"", style));
  append_escaped(out, text);
  return out + fmt::format("</{}>\n", tag);
}

}  // namespace clampbook::report
