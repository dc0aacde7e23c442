#include "cli/command.h"
#include "cli/guide.h"
#include "cli/guide_input.h"
#include "cli/selection.h"
#include "cli/session.h"

#include <clampbook/record/output_file.h>
#include <clampbook/text/error.h>

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

ExitStatus run(const Arguments& arguments, Context& context) {
  std::optional<WrenchSource> source;
  if (const auto word = arguments.value("--wrench")) source = parse_wrench_source(*word);
  const std::string book_name = *arguments.operand("BOOK");
  if (source && source->kind == WrenchSource::Kind::path && record::is_same_file(source->path, book_name))
    throw UsageError(text::Diagnostic{"bad-option", "--wrench names the book itself",
                                      "name what the wrench writes to",
                                      whole(argument("--wrench", *arguments.value("--wrench")))});
  Session session(book_name);
  GuideInput input(std::move(source));
  return Guide(session, arguments, context, input).run();
}

}  // namespace

Command guide_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
