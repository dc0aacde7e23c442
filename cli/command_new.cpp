#include "cli/command.h"

#include <clampbook/joint/thread_name.h>
#include <clampbook/record/output_file.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/starter.h>
#include <clampbook/text/error.h>
#include <clampbook/text/number.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <cmath>

namespace clampbook::cli {

namespace {

using units::Measured;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "new",
      "Writes a commented starter schedule; never writes over a file.",
      {{"FILE", "the file to make"}},
      {{"--thread", "T", "M10 (default), M8x1, 3/8-16 UNC, ...; inch threads bring imperial figures"},
       {"--strength", "S", "8.8 (default), 10.9, \"SAE 8\", ..."},
       {"--rows", "2x5", "2 rows of 5 bolts (default)"},
       {"--spacing", "80x110mm", "80 mm along a row, 110 mm between rows (default; imperial 3inx4in)"},
       {"--circle", "N", "N bolts on a circle"},
       {"--diameter", "D", "of that circle (default 120 mm; imperial 5 in)"}},
      {"clampbook new cover.yaml", "clampbook new cover.yaml --rows 2x5 --spacing 80x110mm --thread M8",
       "clampbook new flange.yaml --circle 8 --diameter 5in --thread '3/8-16 UNC' --strength 'SAE 8'"}};
  return kSpec;
}

[[noreturn]] void refuse(const text::SourcePtr& source, std::string slug, std::string message,
                         std::string help) {
  throw InputError(text::Diagnostic{std::move(slug), std::move(message), std::move(help), whole(source)});
}

int read_whole_number(std::string_view word, const text::SourcePtr& source, int most) {
  const text::NumberScan scan = text::scan_number(word);
  if (!scan)
    refuse(source, std::string(text::slug(scan.fault)), text::describe(scan.fault, word),
           text::suggest(scan.fault, word));
  if (scan.value < 1 || scan.value > most || scan.value != std::floor(scan.value))
    refuse(source, "out-of-domain", fmt::format("{} is not a whole number from 1 to {}", word, most), "");
  return static_cast<int>(scan.value);
}

// The two sides of "2x5" or "80×110mm".
std::pair<std::string, std::string> sides(const text::SourcePtr& source) {
  const std::string_view text = source->text();
  std::size_t at = text.find('x'), width = 1;
  if (at == std::string_view::npos) {
    at = text.find("×");
    width = 2;
  }
  if (at == std::string_view::npos)
    refuse(source, "wrong-shape", fmt::format("'{}' has no x between two figures", text),
           "for example 2x5, or 80x110mm");
  return {std::string(text.substr(0, at)), std::string(text.substr(at + width))};
}

Measured read_length(std::string_view word, const text::SourcePtr& source, const units::Unit* fallback) {
  const units::MeasuredScan scan = units::scan_whole_measured(word, fallback);
  if (!scan)
    refuse(source, std::string(scan.slug), scan.message,
           scan.slug == "missing-unit" ? fmt::format("for example: {}mm", source->text()) : scan.help);
  const Measured out(scan.number, *scan.unit);
  if (out.dimension() != units::Dimension::length)
    refuse(source, "wrong-dimension",
           fmt::format("{} is {}, not a length", word, units::with_article(out.dimension())),
           "for example 80x110mm");
  if (out.number() <= 0) refuse(source, "out-of-domain", fmt::format("{} must be more than zero", word), "");
  return out;
}

// As asked for with --units, else as the thread is made.
units::System system_of(const Arguments& arguments, const Context& context) {
  if (context.system) return *context.system;
  const auto thread = joint::find_thread(arguments.value("--thread").value_or(""));
  return thread && thread->thread.form() == joint::ThreadForm::unified ? units::System::imperial
                                                                       : units::System::metric;
}

std::vector<schedule::StarterBolt> rows(const Arguments& arguments, bool imperial) {
  const text::SourcePtr count = argument("--rows", arguments.value("--rows").value_or("2x5"));
  const text::SourcePtr spacing =
      argument("--spacing", arguments.value("--spacing").value_or(imperial ? "3inx4in" : "80x110mm"));
  const auto [down, across] = sides(count);
  const int row_count = read_whole_number(down, count, 1000),
            column_count = read_whole_number(across, count, 1000);
  if (row_count * column_count > static_cast<int>(schedule::kMostBolts))
    refuse(count, "too-large", fmt::format("more than {} bolts", schedule::kMostBolts), "");
  const auto [along, between] = sides(spacing);
  const Measured second = read_length(between, spacing, nullptr);
  const Measured first = read_length(along, spacing, &second.unit());
  return schedule::bolts_in_rows(row_count, column_count, first, second);
}

schedule::StarterOptions options_from(const Arguments& arguments, const Context& context) {
  schedule::StarterOptions out;
  out.system = system_of(arguments, context);
  out.ascii = context.ascii;
  const bool imperial = out.system == units::System::imperial;
  if (imperial) {
    out.thread = "3/8-16 UNC";
    out.strength = "SAE 5";
  }
  if (const auto thread = arguments.value("--thread"))
    out.thread = context.ascii ? text::to_ascii(*thread) : *thread;
  if (const auto strength = arguments.value("--strength")) out.strength = *strength;
  if (const auto circle = arguments.value("--circle")) {
    if (arguments.has("--rows") || arguments.has("--spacing"))
      throw UsageError(
          text::Diagnostic{"bad-option", "--circle and --rows exclude each other", "one layout"});
    const text::SourcePtr diameter =
        argument("--diameter", arguments.value("--diameter").value_or(imperial ? "5in" : "120mm"));
    out.bolts = schedule::bolts_on_circle(
        read_whole_number(*circle, argument("--circle", *circle), static_cast<int>(schedule::kMostBolts)),
        read_length(diameter->text(), diameter, nullptr));
    out.order = schedule::OrderKind::star;
  } else {
    if (arguments.has("--diameter"))
      throw UsageError(text::Diagnostic{"bad-option", "--diameter belongs to --circle",
                                        "clampbook new FILE --circle 8 --diameter 120mm"});
    out.bolts = rows(arguments, imperial);
  }
  return out;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string path = *arguments.operand("FILE");
  const std::string text = schedule::starter_schedule(options_from(arguments, context));
  // What `plan` would refuse is not written: a wrong thread or strength shows here.
  static_cast<void>(
      schedule::read_schedule(std::make_shared<const text::Source>("(the new schedule)", text)));
  record::write_output_file(path, text, record::Existing::refuse);
  if (context.json) {
    write_json(context, text::Json::object().set("file", path));
  } else if (!context.quiet) {
    write_text(context, fmt::format("made {}: fill in the figures, then: clampbook plan {}\n",
                                    text::printable(path), text::printable(path)));
  }
  return ExitStatus::done;
}

}  // namespace

Command new_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
