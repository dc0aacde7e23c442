// `clampbook convert`: one quantity in another unit, or in all that suit it; exact by definition.
#include "cli/command.h"
#include "cli/convert_lines.h"

#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>
#include <clampbook/units/format.h>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace clampbook::cli {

namespace {

using units::MeasuredScan;
using units::Unit;
using units::with_unit;

constexpr int kTextDigits = 6;

// What was typed for one operand, for the caret.
text::SourcePtr typed(std::string_view name, const std::string& words) {
  return std::make_shared<const text::Source>(std::string(name), words, text::Source::Kind::argument);
}

[[noreturn]] void refuse(std::string_view slug, std::string message, std::string help, text::Location at) {
  throw InputError(text::Diagnostic{.slug = std::string(slug),
                                    .message = std::move(message),
                                    .help = std::move(help),
                                    .at = std::move(at)});
}

const Unit& unit_operand(const std::string& word) {
  if (const Unit* unit = units::find_unit(word)) return *unit;
  refuse("unknown-unit", fmt::format("unknown unit '{}'", word), units::unit_help(word),
         {typed("UNIT", word), 0, word.size()});
}

[[noreturn]] void too_many(const std::string& word) {
  throw UsageError(text::Diagnostic{.slug = "bad-option",
                                    .message = "one operand too many",
                                    .help = "convert takes a value with its unit, and one unit to give it in",
                                    .at = text::Location{typed("UNIT", word), 0, word.size()}});
}

struct Given {
  double number;
  const Unit& unit;
};

struct Request {
  Given given;
  const Unit* target;  // null: all that suit
  std::string value_word;
  std::string target_word;
};

// VALUE UNIT [UNIT] or "VALUE UNIT" [UNIT].
Request read_request(const std::string& value, const std::vector<std::string>& words) {
  const Unit* const apart =
      text::scan_number(value) && !words.empty() ? &unit_operand(words.front()) : nullptr;
  const MeasuredScan scan = units::scan_whole_measured(value, apart);
  if (!scan)
    refuse(scan.slug, scan.message, scan.help, {typed("VALUE", value), scan.fault_at, scan.fault_length});
  const std::size_t used = apart != nullptr ? 1 : 0;
  if (words.size() > used + 1) too_many(words[used + 1]);
  Request request{{scan.number, *scan.unit}, nullptr, value, {}};
  if (words.size() > used) {
    request.target_word = words[used];
    request.target = &unit_operand(request.target_word);
  }
  return request;
}

double result_in(const Request& request, const Unit& target) {
  if (target.dimension != request.given.unit.dimension) {
    refuse("wrong-dimension",
           fmt::format("{} cannot be expressed in {}", with_article(request.given.unit.dimension),
                       target.spelling),
           fmt::format("{} is a unit of {}", target.spelling, name(target.dimension)),
           {typed("UNIT", request.target_word), 0, request.target_word.size()});
  }
  const double result = convert(request.given.number, request.given.unit, target);
  if (!std::isfinite(result)) {
    refuse("bad-number", fmt::format("the value is too large to be given in {}", target.spelling), {},
           {typed("VALUE", request.value_word), 0, request.value_word.size()});
  }
  return result;
}

// The other units of the dimension in which the number is one that people can picture.
std::vector<Given> suitable(const Given& given) {
  std::vector<Given> out;
  for (const Unit& unit : units::all_units()) {
    if (unit.dimension != given.unit.dimension || &unit == &given.unit) continue;
    const double number = convert(given.number, given.unit, unit);
    const double size = std::fabs(number);
    const bool pictured = size >= 1e-3 && size < 1e6;
    if (pictured || given.number == 0 || unit.dimension == units::Dimension::temperature)
      out.push_back({number, unit});
  }
  if (out.empty()) {
    const Unit& unit = units::counterpart({given.number, given.unit});
    const double number = convert(given.number, given.unit, unit);
    if (std::isfinite(number)) out.push_back({number, unit});
  }
  return out;
}

void answer_one(const Request& request, const Unit& target, Context& context) {
  const double result = result_in(request, target);
  const Given& given = request.given;
  if (context.json) {
    write_json(context, text::Json::object()
                            .set("value", given.number)
                            .set("from", given.unit.spelling)
                            .set("to", target.spelling)
                            .set("result", result));
    return;
  }
  write_text(context,
             fmt::format("{} = {}\n", with_unit(text::shortest(given.number), given.unit, context.ascii),
                         with_unit(units::significant(result, kTextDigits), target, context.ascii)));
}

void answer_all(const Given& given, Context& context) {
  const std::vector<Given> results = suitable(given);
  if (context.json) {
    text::Json list = text::Json::array();
    for (const Given& other : results)
      list.push(text::Json::object().set("to", other.unit.spelling).set("result", other.number));
    write_json(context, text::Json::object()
                            .set("value", given.number)
                            .set("from", given.unit.spelling)
                            .set("results", std::move(list)));
    return;
  }
  // Points stand under each other.
  std::vector<std::string> numbers;
  std::size_t widest = 0;
  const auto whole = [](const std::string& number) {
    return std::min(number.find_first_of(".e"), number.size());
  };
  for (const Given& other : results) {
    numbers.push_back(units::significant(other.number, kTextDigits));
    widest = std::max(widest, whole(numbers.back()));
  }
  std::size_t longest = 0;
  for (std::string& number : numbers) {
    number.insert(0, widest - whole(number), ' ');
    longest = std::max(longest, number.size());
  }
  std::string out = with_unit(text::shortest(given.number), given.unit, context.ascii) + " =\n";
  for (std::size_t i = 0; i < results.size(); ++i) {
    const Unit& unit = results[i].unit;
    std::string row =
        fmt::format("  {:<{}} {}", numbers[i], longest, context.ascii ? unit.ascii : unit.spelling);
    row.erase(row.find_last_not_of(' ') + 1);
    out += row + '\n';
  }
  write_text(context, out);
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::optional<std::string> value = arguments.operand("VALUE");
  if (!value) {
    throw UsageError(text::Diagnostic{.slug = "missing-argument",
                                      .message = "convert needs a value",
                                      .help = "for example: clampbook convert 30 N·m ft·lbf"});
  }
  const std::vector<std::string> words = arguments.operands("UNIT");
  if (*value == "-") {
    if (words.size() > 1) too_many(words[1]);
    const Unit* const target = words.empty() ? nullptr : &unit_operand(words.front());
    const std::size_t bad = convert_lines(context.in, context.out, context.err,
                                          {.target = target, .json = context.json, .ascii = context.ascii});
    return bad == 0 ? ExitStatus::done : ExitStatus::bad_input;
  }
  const Request request = read_request(*value, words);
  if (request.target != nullptr) {
    answer_one(request, *request.target, context);
  } else {
    answer_all(request.given, context);
  }
  return ExitStatus::done;
}

}  // namespace

Command convert_command() {
  static const VerbSpec spec{
      .name = "convert",
      .summary = "Gives a quantity in another unit, exact by definition.",
      .operands = {{.name = "VALUE",
                    .help = "a number, or a number with its unit, or - for lines from standard input"},
                   {.name = "UNIT",
                    .help = "its unit, then the unit to give it in; without one, all that suit",
                    .required = false,
                    .repeated = true}},
      .examples = {"clampbook convert 30 N·m ft·lbf", "clampbook convert \"22.1 ft·lbf\" N·m",
                   "clampbook convert 60 °", "clampbook convert - N·m < torques.txt"},
  };
  return {spec, run};
}

}  // namespace clampbook::cli
