// A line of a wrench is a reading of finite figures that are not below zero, or says why it is none. The
// first line of the input is a template, the second what to ignore; the rest are lines as they are sent.
#include "tests/fuzz/fuzz.h"

#include <clampbook/schedule/line_template.h>
#include <clampbook/schedule/wrench_line.h>
#include <clampbook/text/utf8.h>

#include <cmath>

using namespace clampbook;

namespace {

std::string_view take_line(std::string_view& rest) {
  const std::size_t end = std::min(rest.find('\n'), rest.size());
  const std::string_view line = rest.substr(0, end);
  rest.remove_prefix(std::min(end + 1, rest.size()));
  return line;
}

void check_line(std::string_view line, const schedule::TorqueWrench& tool, const units::Unit* bare) {
  const schedule::WrenchLine read = schedule::read_wrench_line(line, tool, bare);
  if (read.kind == schedule::WrenchLine::Kind::reading) {
    fuzz::require(read.values.size() == 1 || read.values.size() == 2, "a reading has one or two figures",
                  line);
    for (const units::Measured& value : read.values)
      fuzz::require(std::isfinite(value.si()) && value.number() >= 0, "a figure is not below zero", line);
    if (read.values.size() == 2)
      fuzz::require(read.values[0].dimension() != read.values[1].dimension(), "two figures differ in kind",
                    line);
  } else {
    fuzz::require(read.values.empty(), "what is no reading has no figure", line);
    if (read.kind == schedule::WrenchLine::Kind::unreadable)
      fuzz::require(!read.why.empty() && text::printable(read.why) == read.why,
                    "it says why in what can be printed", line);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::string_view rest = fuzz::as_text(data, size);
  const std::string_view line_template = take_line(rest);
  const std::string_view ignore = take_line(rest);
  // Both come from a file that was read as UTF-8.
  if (text::first_invalid_utf8(line_template) || text::first_invalid_utf8(ignore)) return 0;
  const units::Measured zero(0, units::newton_metre_unit()), one(1, units::newton_metre_unit());
  schedule::TorqueWrench tool{"wrench", {}, {zero, one}, units::Measured(4, units::percent_unit())};
  tool.ignore = ignore;
  for (const schedule::DecimalSign decimal : {schedule::DecimalSign::point, schedule::DecimalSign::comma}) {
    tool.decimal = decimal;
    const auto fault = schedule::check_line_template(line_template, decimal);
    if (fault)
      fuzz::require(fault->at <= line_template.size() && fault->length <= line_template.size() - fault->at,
                    "a fault lies in the template", line_template);
    for (std::string_view lines = rest; !lines.empty();) {
      const std::string_view line = take_line(lines);
      for (const units::Unit* unit :
           {&units::newton_metre_unit(), static_cast<const units::Unit*>(nullptr)}) {
        tool.line.clear();
        tool.unit = unit;
        check_line(line, tool, unit);
        if (fault) continue;
        tool.line = line_template;
        check_line(line, tool, unit);
      }
    }
  }
  return 0;
}
