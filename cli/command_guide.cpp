#include "cli/command.h"
#include "cli/guide.h"
#include "cli/guide_input.h"
#include "cli/requests.h"
#include "cli/terminal.h"

#include <clampbook/bench/choose.h>
#include <clampbook/bench/open_book.h>
#include <clampbook/bench/walk.h>
#include <clampbook/record/output_file.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "guide",
      "Walks through the pass: shows the due step, takes a reading or a key, records it, says what is off.",
      {{"BOOK", "the record file"}},
      {{"--pass", "N", "the pass (default: the only open one)"},
       {"--wrench", "SOURCE", "readings from - (standard input), a pipe or file, serial:DEV[,BAUD[,8N1]]"},
       {"--tool", "T", "the tool in hand, by its name in the pass's tool list"},
       {"--unit", "U", "of a bare number at a torque step, when the tool has none"},
       {"--by", "NAME", "who does it"},
       {"--big", "", "bolt and target in digits of five rows"}},
      {"clampbook guide casing.book", "clampbook guide casing.book --unit ft-lb --big",
       "clampbook guide casing.book --wrench serial:/dev/ttyUSB0,9600 --tool digital"}};
  return kSpec;
}

const units::Unit* unit_of(const bench::Word& word) {
  const units::Unit* unit = units::find_unit(word.text);
  if (unit == nullptr)
    throw InputError(text::Diagnostic{"unknown-unit", fmt::format("'{}' is no unit", word.text),
                                      units::unit_help(word.text), word.place()});
  if (unit->dimension != units::Dimension::torque)
    throw InputError(text::Diagnostic{
        "wrong-dimension", fmt::format("{} is a unit of {}", word.text, units::name(unit->dimension)),
        "--unit is for bare numbers at torque steps", word.place()});
  return unit;
}

bench::WalkSettings settings_of(const review::Pass& pass, const Arguments& arguments, const Context& context,
                                bool typed_by_wrench) {
  bench::WalkSettings out;
  out.by = arguments.value("--by");
  out.tool = arguments.value("--tool");
  if (const schedule::TorqueWrench* wrench = bench::choose_wrench(pass, word_of(arguments, "--tool")))
    out.wrench = *wrench;
  if (const auto unit = word_of(arguments, "--unit")) out.unit = unit_of(*unit);
  out.somebody_answers = input_is_a_terminal() && !context.json;
  out.stages_confirmed = context.json;
  out.wrench_sends = arguments.has("--wrench");
  out.typed_by_wrench = typed_by_wrench;
  return out;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  std::optional<WrenchSource> source;
  if (const auto word = arguments.value("--wrench")) source = parse_wrench_source(*word);
  const std::string book_name = *arguments.operand("BOOK");
  if (source && source->kind == WrenchSource::Kind::path && record::is_same_file(source->path, book_name))
    throw UsageError(text::Diagnostic{"bad-option", "--wrench names the book itself",
                                      "name what the wrench writes to",
                                      whole(argument("--wrench", *arguments.value("--wrench")))});
  bench::OpenBook book(book_name, context.now);
  const bool typed_by_wrench = source && source->kind == WrenchSource::Kind::standard_input;
  GuideInput input(std::move(source));
  const review::Pass& pass =
      bench::choose_pass(book.passes(), word_of(arguments, "--pass"), bench::PassFor::writing, book_name);
  bench::Walk walk(pass.number, settings_of(pass, arguments, context, typed_by_wrench));
  return Guide(book, walk, context, input, arguments.has("--big")).run();
}

}  // namespace

Command guide_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
