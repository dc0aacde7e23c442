#include "cli/command.h"
#include "cli/output.h"
#include "cli/requests.h"

#include <clampbook/bench/choose.h>
#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book_file.h>
#include <clampbook/record/output_file.h>
#include <clampbook/report/pass_json.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/report/public_copy.h>
#include <clampbook/report/record_csv.h>
#include <clampbook/report/record_page.h>
#include <clampbook/review/bolt_state.h>
#include <clampbook/review/finding.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "report",
      "The record of a pass: as text, as a page to hand over, for a spreadsheet, or for the archive.",
      {{"BOOK", "the record file"}},
      {{"--pass", "N", "this pass (default: the latest)"},
       {"--format", "text|html|csv|json", "default: as FILE's name ends, else text; json with --json"},
       {"-o", "FILE", "write it to this file, in place of an older one"},
       {"--svg", "DIR", "write its drawings into this folder"},
       {"--public", "", "without notes, names, tools, file names and local times"}},
      {"clampbook report casing.book", "clampbook report casing.book -o record.html",
       "clampbook report casing.book --format json -o casing.json",
       "clampbook report casing.book --pass 1 --public -o record.html --svg drawings"}};
  return kSpec;
}

// The lines of the whole book, byte for byte as they stand there; of a public copy what is left of them.
std::string lines_of(const report::Record& record, const std::string& path) {
  std::optional<record::BookLines> lines;
  if (!record.is_public) lines.emplace(path);
  std::string out;
  for (const record::Event& event : record.book.events) {
    if (!out.empty()) out.push_back(',');
    out += lines ? lines->of(event)
                 : fmt::format("{},\"seal\":\"{}\"}}", record::open_line(event), record::view(event.seal));
  }
  return out;
}

// `{plan, lines, check}`.
std::string archive(const report::Record& record, const std::vector<review::BoltState>& bolts,
                    const std::string& path) {
  std::string out = "{\"plan\":" + plan::to_json_text(record.pass.plan) + ",\"lines\":[" +
                    lines_of(record, path) + "],\"check\":";
  report::check_json(record.book_name, record.book, record.pass, record.findings, bolts).dump_to(out);
  return out + "}\n";
}

std::string as_text(const report::Record& record, const std::vector<review::BoltState>& bolts,
                    const report::TextStyle& style) {
  return report::record_text(record.book, record.pass, style) + "\n" +
         report::check_text(record.book_name, record.book, record.pass, record.findings, bolts, style);
}

constexpr std::array<std::string_view, 4> kFormats{"text", "html", "csv", "json"};

// --format; else the end of the name of -o; else text, or JSON with --json.
std::string_view format_of(const Arguments& arguments, const Context& context) {
  if (const auto format = arguments.value("--format")) {
    const auto* const found = std::find(kFormats.begin(), kFormats.end(), *format);
    if (found != kFormats.end()) return *found;
    throw UsageError(text::Diagnostic{"bad-option", fmt::format("--format can't be '{}'", *format),
                                      "one of: text, html, csv, json", whole(argument("--format", *format))});
  }
  if (const auto file = arguments.value("-o"))
    for (const std::string_view format : kFormats)
      if (file->ends_with(format == "text" ? ".txt" : fmt::format(".{}", format))) return format;
  return context.json ? "json" : "text";
}

std::string written(std::string_view format, const report::Record& record,
                    const std::vector<review::BoltState>& bolts, const report::TextStyle& style,
                    const std::string& path) {
  if (format == "json") return archive(record, bolts, path);
  if (format == "html") return report::record_page(record, bolts, style);
  if (format == "csv") return report::record_csv(record);
  return as_text(record, bolts, style);
}

void write_drawings(const std::string& folder, const report::Record& record,
                    const std::vector<review::BoltState>& bolts, const report::TextStyle& style,
                    Context& context) {
  record::make_output_folder(folder);
  for (const auto& [name, svg] : report::record_drawings(record, bolts, style)) {
    const std::string path = fmt::format("{}{}{}", folder, folder.ends_with('/') ? "" : "/", name);
    write_output(path, svg, {});
    say_written(context, path);
  }
}

void give(const Arguments& arguments, Context& context, const report::Record& record,
          const std::vector<review::BoltState>& bolts) {
  const std::string_view format = format_of(arguments, context);
  const report::TextStyle style = text_style(context, record.pass.plan.written_in());
  const auto file = arguments.value("-o"), folder = arguments.value("--svg");
  const std::string path = *arguments.operand("BOOK");
  if (file) {
    write_output(*file, written(format, record, bolts, style, path), {});
    say_written(context, *file);
  } else if (!folder || context.json || arguments.has("--format")) {
    const std::string out = written(format, record, bolts, style, path);
    if (format == "text")
      write_text(context, out);
    else
      context.out.write(out.data(), static_cast<std::streamsize>(out.size()));
  }
  if (folder) write_drawings(*folder, record, bolts, style, context);
}

ExitStatus run(const Arguments& arguments, Context& context) {
  static_cast<void>(format_of(arguments, context));  // a wrong word is told before the book is read
  const std::string book_name = *arguments.operand("BOOK");
  record::Book book = record::read_book(book_name);
  std::vector<review::Pass> passes = review::read_passes(book);
  const review::Pass& pass =
      bench::choose_pass(passes, word_of(arguments, "--pass"), bench::PassFor::reading, book_name);
  if (arguments.has("--public")) {
    const std::int64_t number = pass.number;
    const report::PublicCopy copy = report::public_copy(std::move(book), std::move(passes), number);
    const std::string name = book_name.substr(book_name.rfind('/') + 1);
    give(arguments, context, {name, copy.book, copy.passes, copy.pass(number), copy.findings, true},
         review::bolt_states(copy.passes, copy.pass(number)));
    return ExitStatus::done;
  }
  const review::PassEstimates estimates = review::estimate_pass(pass, review::Pieces(passes, pass.number));
  const std::vector<review::Finding> findings =
      review::find_findings(book, passes, pass, review::Until::finished, &estimates);
  give(arguments, context, {book_name, book, passes, pass, findings},
       review::bolt_states(passes, pass, estimates));
  return ExitStatus::done;  // whether the pass falls short is for check to say
}

}  // namespace

Command report_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
