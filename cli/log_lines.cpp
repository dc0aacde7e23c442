#include "cli/log_lines.h"

#include "cli/requests.h"

#include <clampbook/bench/choose.h>
#include <clampbook/bench/open_book.h>
#include <clampbook/bench/rows.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>

#include <fmt/format.h>

#include <array>
#include <fstream>
#include <istream>

namespace clampbook::cli {

namespace {

using text::Json;

// The same table for a second pass: its keys stand for the first one's entries.
void refuse_other_pass(const bench::Answer& answer, const review::Pass& pass) {
  if (answer.pass == nullptr || answer.pass->number == pass.number) return;
  throw UsageError(text::Diagnostic{
      "key-reused",
      fmt::format("the row's key stands in pass {}, on line {}", answer.pass->number, answer.event->seq),
      "print a new table for each pass: clampbook plan FILE --csv"});
}

void report_stop(std::size_t line, std::size_t kept, const text::Diagnostic& d, Context& context) {
  if (context.json) {
    write_json(context, Json::object()
                            .set("line", line)
                            .set("error", Json::object().set("slug", d.slug).set("text", d.message))
                            .set("kept", kept));
    return;
  }
  write_error(context, fmt::format("line {}: {}", line, text::render(d)));
  write_error(context, fmt::format("{} {} kept; nothing of this row or below it was recorded\n", kept,
                                   kept == 1 ? "row was" : "rows were"));
}

void report_end(std::size_t kept, std::size_t skipped, Context& context) {
  if (context.json) {
    if (skipped > 0) write_json(context, Json::object().set("kept", kept).set("skipped", skipped));
    return;
  }
  if (!context.quiet) write_text(context, fmt::format("{} {} kept\n", kept, kept == 1 ? "row" : "rows"));
  if (skipped > 0)
    write_error(context, fmt::format("{} {} no value and {} passed over\n", skipped,
                                     skipped == 1 ? "row has" : "rows have", skipped == 1 ? "was" : "were"));
}

ExitStatus keep_row(const bench::Row& row, bench::OpenBook& book, const Arguments& arguments,
                    Context& context) {
  static_cast<void>(book.resume());
  const std::optional<bench::Word> named = word_of(arguments, "--pass");
  const review::Pass& pass = bench::choose_pass(book.passes(), named, bench::PassFor::writing, book.name());
  bench::EntryRequest request = bench::request_of(row, pass);
  request.pass = named;
  request.words.by = arguments.value("--by");
  const bench::Answer answer = book.file(request);
  if (answer.repeated) refuse_other_pass(answer, pass);
  say(answer, context);
  context.out.flush();
  return status_of(answer.findings);
}

ExitStatus read_rows(std::istream& in, const std::string& file, const Arguments& arguments,
                     Context& context) {
  bench::RowReader rows(in, file);
  bench::OpenBook book(*arguments.operand("BOOK"), context.now);
  std::size_t kept = 0, skipped = 0, unanswered = 0;
  ExitStatus status = ExitStatus::done;
  while (true) {
    book.release();  // others may write while the next row is waited for
    try {
      const std::optional<bench::Row> row = rows.next();
      if (!row) break;
      if (row->is_empty()) {
        ++skipped;
        continue;
      }
      const ExitStatus of_row = keep_row(*row, book, arguments, context);
      ++kept;
      if (of_row != ExitStatus::done) status = of_row;
      if (!context.out && unanswered == 0) unanswered = rows.line();
    } catch (const StoreError&) {
      throw;
    } catch (const UsageError& e) {  // the pass or the key, not what the row says
      report_stop(rows.line(), kept, e.diagnostics().front(), context);
      return ExitStatus::usage;
    } catch (const DiagnosticError& e) {
      report_stop(rows.line(), kept, e.diagnostics().front(), context);
      return ExitStatus::bad_input;
    }
  }
  // The bolts were turned, whoever sees the answers: every row is kept all the same.
  if (unanswered != 0)
    throw StoreError(
        text::Diagnostic{"output-failed",
                         fmt::format("from line {} on no answer could be written; {} kept, down to the last",
                                     unanswered, kept == 1 ? "1 row was" : fmt::format("{} rows were", kept)),
                         "look with: clampbook check BOOK"});
  report_end(kept, skipped, context);
  return status;
}

}  // namespace

ExitStatus log_lines(const Arguments& arguments, Context& context) {
  static constexpr std::array<std::string_view, 10> kSingle{"--also",    "--tick",  "--count",   "--measure",
                                                            "--stage",   "--label", "--no-turn", "--at",
                                                            "--correct", "--note"};
  for (const std::string_view option : kSingle)
    if (arguments.has(option))
      throw UsageError(text::Diagnostic{"bad-option",
                                        fmt::format("{} belongs to a single entry, not to --lines", option),
                                        "put it into a column"});
  if (arguments.operand("BOLT"))
    throw UsageError(
        text::Diagnostic{"bad-option", "--lines takes no bolt", "clampbook log BOOK --lines FILE"});
  const std::string file = *arguments.value("--lines");
  if (file == "-") return read_rows(context.in, "standard input", arguments, context);
  std::ifstream in = text::open_file(file);
  return read_rows(in, file, arguments, context);
}

}  // namespace clampbook::cli
