#include "cli/command.h"
#include "cli/output.h"

#include <clampbook/plan/trace_joint.h>
#include <clampbook/report/trace_drawing.h>
#include <clampbook/report/trace_report.h>
#include <clampbook/schedule/read_schedule.h>
#include <clampbook/schedule/yaml_tree.h>
#include <clampbook/text/error.h>
#include <clampbook/text/read_file.h>
#include <clampbook/text/words.h>
#include <clampbook/trace/read_trace.h>

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <istream>
#include <optional>
#include <utility>
#include <vector>

namespace clampbook::cli {

namespace {

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "trace",
      "Reads torque-angle curves: running torque, snug point, slope, yield, and what went wrong.",
      {{"FILE", "curves as CSV, columns such as time_s,angle_deg,torque_Nm; - is standard input", true,
        true}},
      {{"--schedule", "FILE", "with --fastener: finds the clamp load and the 0.2 % point too"},
       {"--fastener", "NAME", "the fastener of the schedule that was pulled"},
       {"--svg", "OUT.svg", "writes the curves as a drawing"}},
      {"clampbook trace schedules/pull.csv",
       "clampbook trace schedules/pull.csv --schedule schedules/split-crankcase.yaml --fastener case-bolt",
       "clampbook trace *.csv --json"}};
  return kSpec;
}

[[noreturn]] void refuse_usage(std::string slug, std::string message) {
  throw UsageError(text::Diagnostic{std::move(slug), std::move(message), "clampbook trace --help"});
}

struct NamedBolt {
  plan::BoltModel model;
  std::string name;
};

// The fastener that --schedule and --fastener mean together.
std::optional<NamedBolt> find_bolt(const Arguments& arguments) {
  const auto file = arguments.value("--schedule");
  const auto name = arguments.value("--fastener");
  if (!file && !name) return std::nullopt;
  if (!file) refuse_usage("missing-argument", "--fastener needs --schedule");
  const schedule::Schedule schedule = schedule::read_schedule(text::read_file(*file, schedule::kLargestFile));
  if (!name && schedule.fasteners.size() != 1)
    refuse_usage("missing-argument", fmt::format("--schedule needs --fastener: {} has several", *file));
  std::vector<std::string_view> names;
  for (const schedule::Fastener& fastener : schedule.fasteners) {
    if (!name || fastener.name == *name)
      return NamedBolt{plan::bolt_model(schedule, fastener), fastener.name};
    names.push_back(fastener.name);
  }
  std::string help = text::did_you_mean(*name, names);
  if (help.empty()) help = fmt::format("it has {}", text::list_words(names, "and"));
  throw InputError(text::Diagnostic{"unknown-fastener", fmt::format("{} has no fastener '{}'", *file, *name),
                                    help, whole(argument("--fastener", *name))});
}

// As a stream: a log may be longer than memory.
trace::TraceFile read_file(const std::string& path, Context& context) {
  if (path == "-") return trace::read_trace(context.in, "standard input");
  std::ifstream in = text::open_file(path);
  return trace::read_trace(in, path);
}

report::TraceReport read_one(const std::string& path, const std::optional<NamedBolt>& bolt,
                             Context& context) {
  trace::TraceFile file = read_file(path, context);
  report::TraceReport out{path, std::move(file.curve), {}, {}, std::move(file.notes)};
  out.reading = trace::read_curve(out.curve);
  if (bolt) out.joint = plan::read_joint(out.curve, out.reading, bolt->model, bolt->name);
  out.notes.insert(out.notes.end(), out.reading.notes.begin(), out.reading.notes.end());
  out.notes.insert(out.notes.end(), out.joint.notes.begin(), out.joint.notes.end());
  return out;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::vector<std::string> files = arguments.operands("FILE");
  if (std::count(files.begin(), files.end(), "-") > 1)
    refuse_usage("bad-option", "standard input can be read once only");
  const std::optional<NamedBolt> bolt = find_bolt(arguments);
  text::Diagnostics refused;
  text::Json list = text::Json::array();
  std::string shown;
  bool fault = false;
  const auto drawing = arguments.value("--svg");
  std::vector<report::TraceReport> drawn;
  for (const std::string& path : files) {
    try {
      report::TraceReport trace = read_one(path, bolt, context);
      fault = fault || trace::is_fault(trace.reading.verdict);
      if (context.json) {
        list.push(report::to_json(trace));
      } else {
        shown += report::trace_text(trace, text_style(context)) + "\n";
      }
      if (drawing) drawn.push_back(std::move(trace));
    } catch (const InputError& e) {
      for (const text::Diagnostic& d : e.diagnostics()) refused.add(d);
    }
  }
  if (!refused.empty()) {
    std::size_t more = 0;
    std::vector<text::Diagnostic> first = refused.take(more);
    throw InputError(std::move(first), more);
  }
  if (drawing) {
    std::vector<std::string> read = files;
    if (const auto schedule = arguments.value("--schedule")) read.push_back(*schedule);
    write_output(*drawing, report::trace_drawing(drawn, text_style(context)), read);
    say_written(context, *drawing);
  }
  if (context.json) {
    write_json(context, text::Json::object().set("traces", std::move(list)));
  } else if (!drawing) {
    write_text(context, shown);
    const std::string cautions = report::trace_cautions(text_style(context));
    context.quiet ? write_error(context, cautions) : write_text(context, cautions);
  }
  return fault ? ExitStatus::falls_short : ExitStatus::done;
}

}  // namespace

Command trace_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
