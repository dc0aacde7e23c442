// The program: finds the verb, runs it, and turns every way of failing into a message and an exit status.
#include "cli/clock.h"
#include "cli/command.h"
#include "cli/terminal.h"
#include "cli/verbs.h"

#include <clampbook/text/error.h>
#include <clampbook/text/words.h>

#include <fmt/format.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdio>
#include <iostream>
#include <new>
#include <string>
#include <vector>

namespace clampbook::cli {
namespace {

constexpr int status(ExitStatus s) {
  return static_cast<int>(s);
}

struct Line {
  std::string verb;                ///< empty when there is none
  std::vector<std::string> words;  ///< all others, global options first
};

bool is_global_with_value(const std::string& word) {
  return word == "--units" || word == "--color";
}
bool is_global(const std::string& word) {
  if (word == "-q" || word == "-v" || word == "-h") return true;
  const std::string name = word.substr(0, word.find('='));
  const auto globals = global_options();
  return std::any_of(globals.begin(), globals.end(), [&](const Option& o) { return o.name == name; });
}

// Global options may stand before the verb; they are moved behind it.
Line split(const std::vector<std::string>& all) {
  Line line;
  std::size_t i = 0;
  for (; i < all.size() && is_global(all[i]); ++i) {
    line.words.push_back(all[i]);
    if (is_global_with_value(all[i]) && i + 1 < all.size()) line.words.push_back(all[++i]);
  }
  const bool help = i < all.size() && all[i] == "help";  // as much as --help
  if (help) {
    ++i;
    line.words.emplace_back("--help");
  }
  if (i < all.size()) line.verb = all[i++];
  line.words.insert(line.words.end(), all.begin() + static_cast<std::ptrdiff_t>(i), all.end());
  return line;
}

void apply_globals(const Arguments& arguments, Context& context) {
  const auto choose = [&](std::string_view option,
                          std::initializer_list<std::string_view> words) -> std::optional<std::size_t> {
    const auto given = arguments.value(option);
    if (!given) return std::nullopt;
    const auto* const found = std::find(words.begin(), words.end(), *given);
    if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
    const std::vector<std::string_view> list(words);
    throw UsageError(text::Diagnostic{"bad-option", fmt::format("{} can't be '{}'", option, *given),
                                      fmt::format("one of: {}", text::list_words(list))});
  };
  if (const auto system = choose("--units", {"metric", "imperial"}))
    context.system = *system == 0 ? units::System::metric : units::System::imperial;
  const std::size_t colour = choose("--color", {"auto", "always", "never"}).value_or(0);
  context.colour = colour == 1 || (colour == 0 && terminal_wants_colour());
  context.ascii = arguments.has("--ascii") || !locale_is_utf8();
  context.quiet = arguments.has("--quiet");
  if (arguments.has("--verbose")) spdlog::set_level(spdlog::level::debug);
}

void report(const DiagnosticError& error, Context& context) {
  if (context.json) {
    text::Json list = text::Json::array();
    for (const text::Diagnostic& d : error.diagnostics()) list.push(text::to_json(d));
    context.err << text::Json::object().set("errors", std::move(list)).set("more", error.more()).dump()
                << '\n';
    return;
  }
  std::string out;
  for (const text::Diagnostic& d : error.diagnostics()) out += text::render(d);
  if (error.more() > 0) out += fmt::format("and {} more\n", error.more());
  write_error(context, out);
}

ExitStatus run(const Line& line, Context& context) {
  if (line.verb.empty()) {
    if (std::find(line.words.begin(), line.words.end(), "--version") != line.words.end()) {
      context.out << "clampbook " << program_version() << '\n';
      return ExitStatus::done;
    }
    const bool asked = std::any_of(line.words.begin(), line.words.end(),
                                   [](const std::string& word) { return word == "--help" || word == "-h"; });
    if (asked) {
      write_text(context, overview());
      return ExitStatus::done;
    }
    throw UsageError(
        text::Diagnostic{"missing-argument", "say what to do", "clampbook --help lists the verbs"});
  }
  const std::optional<Command> command = find_command(line.verb);
  if (!command) {
    if (line.verb.starts_with("-"))
      throw UsageError(text::Diagnostic{"bad-option", fmt::format("there is no option {}", line.verb),
                                        "clampbook --help"});
    const std::vector<std::string_view> verbs = verb_names();
    std::string help = text::did_you_mean(line.verb, verbs);
    throw UsageError(text::Diagnostic{"unknown-verb",
                                      fmt::format("'{}' is not a verb of this program", line.verb),
                                      help.empty() ? "clampbook --help lists the verbs" : help});
  }
  const Arguments arguments = parse_arguments(command->spec, line.words);
  context.json = arguments.has("--json");  // the word may have been the value of another option
  apply_globals(arguments, context);
  if (arguments.has("--version")) {
    context.out << "clampbook " << program_version() << '\n';
    return ExitStatus::done;
  }
  if (arguments.has("--help")) {
    write_text(context, help_text(command->spec));
    return ExitStatus::done;
  }
  return command->run(arguments, context);
}

// What is still in a buffer must arrive: a full disk behind a redirection is an error, not silence.
void flush(Context& context) {
  context.out.flush();
  if (context.out.good() && std::fflush(stdout) == 0) return;
  throw StoreError(text::Diagnostic{"output-failed",
                                    "the output could not be written to its end; what was recorded is kept",
                                    "is the disk full, or the other end closed?"});
}

// Without asking for memory.
int tell_out_of_memory(Context& context) {
  constexpr std::string_view kSlug = "out-of-memory", kMessage = "there is not enough memory for this",
                             kHelp =
                                 "what was recorded is kept; whether this was, shows: clampbook check BOOK";
  if (context.json) {
    context.err << R"({"errors":[{"slug":")" << kSlug << R"(","text":")" << kMessage
                << R"(","file":null,"line":null,"column":null,"help":")" << kHelp
                << R"(","also":null}],"more":0})" << '\n';
  } else {
    context.err << "error: " << kMessage << " [" << kSlug << "]\n   help: " << kHelp << '\n';
  }
  return status(ExitStatus::storage);
}

int guarded(const Line& line, Context& context) {
  try {
    const ExitStatus result = run(line, context);
    flush(context);
    return status(result);
  } catch (const UsageError& e) {
    report(e, context);
    return status(ExitStatus::usage);
  } catch (const InputError& e) {
    context.out.flush();
    report(e, context);
    return status(ExitStatus::bad_input);
  } catch (const StoreError& e) {
    report(e, context);
    return status(ExitStatus::storage);
  } catch (const std::bad_alloc&) {
    throw;  // it may come of the telling, too
  } catch (const std::exception& e) {
    const text::Diagnostic fault{"internal", fmt::format("a fault of this program: {}", e.what()),
                                 "nothing was recorded by this command unless it said so; please report it"};
    report(DiagnosticError({fault}), context);
    return status(ExitStatus::internal);
  }
}

}  // namespace
}  // namespace clampbook::cli

int main(int argc, char** argv) {
  using namespace clampbook::cli;
  std::ios::sync_with_stdio(false);
  ignore_output_signals();
  keep_standard_descriptors();
  Context context{std::cin, std::cout, std::cerr, now};
  try {
    // The default logger writes to stdout, which belongs to the product.
    spdlog::set_default_logger(
        std::make_shared<spdlog::logger>("clampbook", std::make_shared<spdlog::sinks::stderr_sink_st>()));
    spdlog::set_level(spdlog::level::warn);
    spdlog::flush_on(spdlog::level::warn);
    spdlog::set_pattern("clampbook: %v");
    const Line line = split({argv + std::min(argc, 1), argv + argc});
    context.json = std::find(line.words.begin(), line.words.end(), "--json") != line.words.end();
    context.ascii = !locale_is_utf8();
    return guarded(line, context);
  } catch (const std::bad_alloc&) {
    return tell_out_of_memory(context);
  }
}
