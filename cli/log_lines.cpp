#include "cli/log_lines.h"

#include "cli/filing.h"
#include "cli/selection.h"

#include <clampbook/text/csv.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <istream>
#include <map>

namespace clampbook::cli {

namespace {

using text::Json;

constexpr std::array<std::string_view, 12> kColumns{"bolt", "value", "also", "stage",  "at",     "tool",
                                                    "key",  "note",  "step", "target", "window", "text"};
// What `plan --csv` prints for the eye: it says nothing about what was done.
constexpr std::array<std::string_view, 3> kForPeople{"target", "window", "text"};

[[noreturn]] void bad(const std::string& file, std::string message, std::string help) {
  text::Diagnostic d{"bad-csv", std::move(message), std::move(help)};
  d.file = file;
  throw InputError(std::move(d));
}

// Which column each field of a row belongs to.
std::vector<std::string_view> read_header(text::CsvReader& csv, const std::istream& in,
                                          const std::string& file) {
  const auto header = csv.next();
  if (in.bad()) {
    text::Diagnostic d{"unreadable-file", csv.fault(), ""};
    d.file = file;
    throw InputError(std::move(d));
  }
  if (!header)
    bad(file, csv.fault().empty() ? "the file is empty" : csv.fault(),
        "the first line is: bolt,value,also,stage,at,tool,key,note (the last six as needed); clampbook plan "
        "FILE "
        "--csv prints one");
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

// A row of the file: its fields by column.
struct Row {
  std::string bolt, value, step;
  std::map<std::string_view, std::string> others{};
};

Row row_of(const std::vector<std::string>& fields, const std::vector<std::string_view>& columns) {
  if (fields.size() > columns.size())
    throw InputError(text::Diagnostic{
        "bad-csv", fmt::format("{} fields where the first line has {}", fields.size(), columns.size()),
        "put a field that holds a comma into quotes"});
  Row out;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    std::string field = text::from_spreadsheet(fields[i]);
    if (columns[i] == "bolt") {
      out.bolt = std::move(field);
    } else if (columns[i] == "value") {
      out.value = std::move(field);
    } else if (columns[i] == "step") {
      out.step = std::move(field);
    } else if (!field.empty() &&
               std::find(kForPeople.begin(), kForPeople.end(), columns[i]) == kForPeople.end()) {
      out.others[columns[i]] = std::move(field);
    }
  }
  return out;
}

// True for a row that was not filled in. What else was written on it must not get lost.
bool is_empty(const Row& row) {
  if (!row.value.empty()) return false;
  for (const std::string_view column : {"also", "at", "note"})
    if (row.others.contains(column))
      throw InputError(text::Diagnostic{
          "bad-csv", fmt::format("the row has something in '{}' but no value", column),
          "write the value, or clear the field; clampbook amend BOOK --note TEXT keeps a note by itself"});
  return true;
}

// The step that the row names; nullptr when it names none.
const plan::Step* step_of(const Row& row, const review::Pass& pass) {
  if (row.step.empty()) return nullptr;
  const text::NumberScan number = text::scan_number(row.step);
  const bool in_range =
      number && number.value >= 1 && number.value <= static_cast<double>(schedule::kMostSteps);
  const plan::Step* found =
      in_range ? review::Progress(pass, true).find(static_cast<int>(number.value)) : nullptr;
  if (found == nullptr || found->step != number.value)
    throw InputError(text::Diagnostic{"bad-csv", fmt::format("pass {} has no step {}", pass.number, row.step),
                                      "is this the table of another schedule, or of more bolts?"});
  const std::string stage = std::to_string(found->stage);
  const auto said = row.others.find("stage");
  if (found->bolt.value_or("") != row.bolt || (said != row.others.end() && said->second != stage))
    throw InputError(
        text::Diagnostic{"bad-csv",
                         fmt::format("step {} of pass {} is stage {}{}, not what the row says", found->step,
                                     pass.number, stage, found->bolt ? ", bolt " + *found->bolt : ", a gate"),
                         "is this the table of another schedule?"});
  return found;
}

// The gate that the row names by its step, else the due one.
const plan::Step& gate_of(const plan::Step* named, const review::Pass& pass) {
  if (named != nullptr) return *named;
  const review::Progress progress(pass);
  const std::vector<plan::Step>& steps = pass.plan.steps;
  const auto due = std::find_if(steps.begin(), steps.end(),
                                [&](const plan::Step& s) { return s.is_gate() && !progress.filled(s.step); });
  if (due == steps.end())
    throw InputError(text::Diagnostic{"nothing-due", "there is no gate left", "name the bolt"});
  return *due;
}

// A row as the arguments of a single call. The kind of its gate says what the value is.
Arguments arguments_of(const Row& row, const Arguments& all, const review::Pass& pass) {
  Arguments out;
  for (const std::string_view kept : {"--pass", "--by"})
    if (const auto value = all.value(kept)) out.set_option(kept, *value);
  for (const auto& [column, field] : row.others) out.set_option("--" + std::string(column), field);
  const plan::Step* named = step_of(row, pass);
  if (named != nullptr) out.set_option("--stage", std::to_string(named->stage));
  if (!row.bolt.empty()) {
    out.set_operand("BOLT", row.bolt);
    out.set_operand("VALUE", row.value);
    return out;
  }
  const plan::Step& gate = gate_of(named, pass);
  if (gate.kind == plan::StageKind::count) {
    out.set_option("--count", row.value);
  } else if (gate.kind == plan::StageKind::measure) {
    out.set_option("--measure", row.value);
  } else if (row.value == "done") {
    out.set_option("--tick", "");
  } else {
    throw InputError(text::Diagnostic{"bad-csv",
                                      fmt::format("the {} gate (step {}, {}) takes the value 'done'",
                                                  named != nullptr ? "row's" : "due", gate.step, gate.text),
                                      ""});
  }
  if (gate.label) out.set_option("--label", *gate.label);
  return out;
}

// The same table for a second pass: its keys stand for the first one's entries.
void refuse_other_pass(const Recorded& recorded, const review::Pass& pass) {
  if (recorded.pass == nullptr || recorded.pass->number == pass.number) return;
  throw UsageError(text::Diagnostic{
      "key-reused",
      fmt::format("the row's key stands in pass {}, on line {}", recorded.pass->number, recorded.event->seq),
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

ExitStatus keep_row(const Row& row, Session& session, const Arguments& arguments, Context& context) {
  static_cast<void>(session.resume());
  const review::Pass& pass = select_pass(session.passes(), arguments, PassFor::writing, session.book_name());
  const Arguments words = arguments_of(row, arguments, pass);
  const Call call = read_call(words, context.now());
  std::optional<Recorded> recorded = session.repeated(words.value("--key"), call.typed);
  if (recorded) {
    refuse_other_pass(*recorded, pass);
  } else {
    recorded = file_entry(session, words, call);
  }
  answer(*recorded, context);
  context.out.flush();
  return recorded->status();
}

ExitStatus read_rows(std::istream& in, const std::string& file, const Arguments& arguments,
                     Context& context) {
  text::CsvReader csv(in);
  const std::vector<std::string_view> columns = read_header(csv, in, file);
  Session session(*arguments.operand("BOOK"));
  std::size_t kept = 0, skipped = 0, unanswered = 0;
  ExitStatus status = ExitStatus::done;
  while (true) {
    session.release();  // others may write while the next row is waited for
    const auto fields = csv.next();
    if (!fields && csv.fault().empty()) break;
    try {
      if (!fields)
        throw InputError(text::Diagnostic{in.bad() ? "unreadable-file" : "bad-csv", csv.fault(), ""});
      const Row row = row_of(*fields, columns);
      if (is_empty(row)) {
        ++skipped;
        continue;
      }
      const ExitStatus of_row = keep_row(row, session, arguments, context);
      ++kept;
      if (of_row != ExitStatus::done) status = of_row;
      if (!context.out && unanswered == 0) unanswered = csv.line();
    } catch (const StoreError&) {
      throw;
    } catch (const UsageError& e) {  // the pass or the key, not what the row says
      report_stop(csv.line(), kept, e.diagnostics().front(), context);
      return ExitStatus::usage;
    } catch (const DiagnosticError& e) {
      report_stop(csv.line(), kept, e.diagnostics().front(), context);
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
