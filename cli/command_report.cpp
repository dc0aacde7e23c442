#include "cli/command.h"
#include "cli/output.h"
#include "cli/selection.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book_file.h>
#include <clampbook/report/pass_json.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/finding.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <utility>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "report",
      "The record of a pass: as text, or as JSON with the plan, every line of the book and the check, for "
      "the archive.",
      {{"BOOK", "the record file"}},
      {{"--pass", "N", "this pass (default: the latest)"},
       {"--format", "text|json", "default: text, or json with --json"},
       {"-o", "FILE", "write it to this file, in place of an older one"}},
      {"clampbook report engine.book", "clampbook report engine.book --format json -o engine.json",
       "clampbook report engine.book --pass 1"}};
  return kSpec;
}

// `{plan, lines, check}`: the lines of the whole book, as they stand there.
std::string archive(const std::string& book_name, const record::Book& book,
                    const std::vector<review::Pass>& passes, const review::Pass& pass,
                    const std::vector<review::Finding>& findings) {
  std::string out = "{\"plan\":" + plan::to_json_text(pass.plan) + ",\"lines\":[";
  bool first = true;
  for (const record::Event& event : book.events) {
    if (!std::exchange(first, false)) out.push_back(',');
    event.body.dump_to(out);
  }
  out += "],\"check\":";
  report::check_json(book_name, book, passes, pass, findings).dump_to(out);
  return out + "}\n";
}

std::string as_text(const std::string& book_name, const record::Book& book, const review::Pass& pass,
                    const std::vector<review::Finding>& findings, const report::TextStyle& style) {
  std::string out = report::record_text(book, pass, style) + "\n" +
                    report::check_text(book_name, book, pass, findings, style);
  for (const std::string_view caution : report::standing_cautions())
    out += report::wrapped(fmt::format("! {}", caution), style.width, 0, 2) + "\n";
  return out;
}

bool wants_json(const Arguments& arguments, const Context& context) {
  const auto format = arguments.value("--format");
  if (!format) return context.json;
  if (*format == "text" || *format == "json") return *format == "json";
  throw UsageError(text::Diagnostic{"bad-option", fmt::format("--format can't be '{}'", *format),
                                    "one of: text, json", whole(argument("--format", *format))});
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const bool json = wants_json(arguments, context);
  const std::string book_name = *arguments.operand("BOOK");
  const record::Book book = record::read_book(book_name);
  std::vector<review::Pass> passes = review::read_passes(book);
  const review::Pass& pass = select_pass(passes, arguments, PassFor::reading, book_name);
  const std::vector<review::Finding> findings =
      review::find_findings(book, passes, pass, review::Until::finished);
  const std::string out = json ? archive(book_name, book, passes, pass, findings)
                               : as_text(book_name, book, pass, findings, text_style(context));
  if (const auto file = arguments.value("-o")) {
    write_output(*file, out, {});
  } else if (json) {
    context.out.write(out.data(), static_cast<std::streamsize>(out.size()));
  } else {
    write_text(context, out);
  }
  return ExitStatus::done;  // whether the pass falls short is for check to say
}

}  // namespace

Command report_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
