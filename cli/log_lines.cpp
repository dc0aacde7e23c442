#include "cli/log_lines.h"

#include "cli/filing.h"
#include "cli/selection.h"

#include <clampbook/text/csv.h>
#include <clampbook/text/error.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <istream>

namespace clampbook::cli {

namespace {

using text::Json;

constexpr std::array<std::string_view, 8> kColumns{"bolt", "value", "also", "stage",
                                                   "at",   "tool",  "key",  "note"};

[[noreturn]] void bad(const std::string& file, std::string message, std::string help) {
  text::Diagnostic d{"bad-csv", std::move(message), std::move(help)};
  d.file = file;
  throw InputError(std::move(d));
}

// Which column each field of a row belongs to.
std::vector<std::string_view> read_header(text::CsvReader& csv, const std::string& file) {
  const auto header = csv.next();
  if (!header)
    bad(file, csv.fault().empty() ? "the file is empty" : csv.fault(),
        "the first line is: bolt,value,also,stage,at,tool,key,note (the last six as needed)");
  std::vector<std::string_view> out;
  for (const std::string& word : *header) {
    const auto* const found = std::find(kColumns.begin(), kColumns.end(), word);
    if (found == kColumns.end()) {
      std::string help = text::did_you_mean(word, kColumns);
      bad(file, fmt::format("there is no column '{}'", word),
          help.empty() ? "known: " + text::list_words(kColumns, "and") : help);
    }
    if (std::find(out.begin(), out.end(), *found) != out.end())
      bad(file, fmt::format("the column '{}' stands twice", word), "");
    out.push_back(*found);
  }
  for (const std::string_view needed : {"bolt", "value"})
    if (std::find(out.begin(), out.end(), needed) == out.end())
      bad(file, fmt::format("there is no column '{}'", needed), "the first line is: bolt,value,...");
  return out;
}

// A row as the arguments of a single call. An empty bolt is the due gate; the kind of the gate says what the
// value is.
Arguments arguments_of(const std::vector<std::string>& row, const std::vector<std::string_view>& columns,
                       const Arguments& all, const review::Pass& pass) {
  Arguments out;
  for (const std::string_view kept : {"--pass", "--by"})
    if (const auto value = all.value(kept)) out.set_option(kept, *value);
  std::string bolt, value;
  for (std::size_t i = 0; i < row.size() && i < columns.size(); ++i) {
    if (columns[i] == "bolt") {
      bolt = row[i];
    } else if (columns[i] == "value") {
      value = row[i];
    } else if (!row[i].empty()) {
      out.set_option("--" + std::string(columns[i]), row[i]);
    }
  }
  if (!bolt.empty()) {
    out.set_operand("BOLT", bolt);
    out.set_operand("VALUE", value);
    return out;
  }
  const review::Progress progress(pass);
  const std::vector<plan::Step>& steps = pass.plan.steps;
  const auto due = std::find_if(steps.begin(), steps.end(),
                                [&](const plan::Step& s) { return s.is_gate() && !progress.filled(s.step); });
  if (due == steps.end())
    throw InputError(text::Diagnostic{"nothing-due", "there is no gate left", "name the bolt"});
  if (due->kind == plan::StageKind::count) {
    out.set_option("--count", value);
  } else if (due->kind == plan::StageKind::measure) {
    out.set_option("--measure", value);
  } else if (value == "done") {
    out.set_option("--tick", "");
  } else {
    throw InputError(text::Diagnostic{
        "bad-csv", fmt::format("the due gate (step {}, {}) takes the value 'done'", due->step, due->text),
        ""});
  }
  if (due->label) out.set_option("--label", *due->label);
  return out;
}

std::vector<text::Diagnostic> diagnostics_of(const DiagnosticError& e) {
  return e.diagnostics();
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

ExitStatus read_rows(std::istream& in, const std::string& file, const Arguments& arguments,
                     Context& context) {
  text::CsvReader csv(in);
  const std::vector<std::string_view> columns = read_header(csv, file);
  Session session(*arguments.operand("BOOK"));
  std::size_t kept = 0;
  ExitStatus status = ExitStatus::done;
  while (true) {
    session.release();  // others may write while the next row is waited for
    const auto row = csv.next();
    if (!row && csv.fault().empty()) break;
    try {
      if (!row) throw InputError(text::Diagnostic{"bad-csv", csv.fault(), ""});
      if (row->size() > columns.size())
        throw InputError(text::Diagnostic{
            "bad-csv", fmt::format("{} fields where the first line has {}", row->size(), columns.size()),
            "put a field that holds a comma into quotes"});
      session.resume();
      const review::Pass& pass =
          select_pass(session.passes(), arguments, PassFor::writing, session.book_name());
      const Arguments words = arguments_of(*row, columns, arguments, pass);
      const Call call = read_call(words, context.now());
      std::optional<Recorded> recorded = session.repeated(words.value("--key"), call.typed);
      if (!recorded) recorded = file_entry(session, words, call);
      answer(*recorded, context);
      context.out.flush();
      ++kept;
      if (recorded->status() != ExitStatus::done) status = recorded->status();
    } catch (const StoreError&) {
      throw;
    } catch (const DiagnosticError& e) {
      report_stop(csv.line(), kept, diagnostics_of(e).front(), context);
      return ExitStatus::bad_input;
    }
  }
  if (!context.json && !context.quiet)
    write_text(context, fmt::format("{} {} kept\n", kept, kept == 1 ? "row" : "rows"));
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
  std::ifstream in(file, std::ios::binary);
  if (!in) {
    text::Diagnostic d{"unreadable-file", "cannot be read", ""};
    d.file = file;
    throw InputError(std::move(d));
  }
  return read_rows(in, file, arguments, context);
}

}  // namespace clampbook::cli
