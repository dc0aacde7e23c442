#include <clampbook/report/colours.h>

#include <fmt/format.h>

#include <string_view>

namespace clampbook::report {

namespace {

constexpr std::string_view kLight =
    "--paper:#fff;--ink:#16181d;--muted:#535966;--line:#858b96;--faint:#d9dce2;--band:#e2e8f0;--good:#0b6e4f;"
    "--warn:#8a5600;--bad:#b3261e;--accent:#1f4e8c;--good-soft:#e4f3ec;--warn-soft:#fbeecd;--bad-soft:#"
    "fbe5e3";
constexpr std::string_view kDark =
    "--paper:#14161a;--ink:#eceef2;--muted:#abb2be;--line:#787f8c;--faint:#343943;--band:#2b3340;--good:#"
    "5fd0a2;"
    "--warn:#f0b84a;--bad:#ff9188;--accent:#8ab8ff;--good-soft:#12352a;--warn-soft:#3a2c0a;--bad-soft:#"
    "45191a";

}  // namespace

std::string colour_style() {
  return fmt::format(
      ":root{{color-scheme:light dark;{}}}@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}",
      kLight, kDark);
}

std::string paper_style() {
  return fmt::format(":root{{color-scheme:only light;{}}}", kLight);
}

}  // namespace clampbook::report
