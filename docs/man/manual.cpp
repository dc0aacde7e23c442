// Fills a manual page in from the tables that the program itself reads, so that no option is told wrongly or
// left out, and prints those tables for the tests.
//
//   clampbook_manual TEMPLATE.scd CAUTIONS.scd   the page as scdoc reads it, on standard output
//   clampbook_manual --tables                    every verb with its operands, options and examples, as JSON
//
// The template's first line names the page: clampbook(1), or clampbook-VERB(1). A line {options} becomes the
// verb's operands and options and those of every verb, {verbs} the list of verbs, {cautions} the second file.
#include "cli/verbs.h"

#include <clampbook/text/json.h>

#include <fmt/format.h>

#include <fstream>
#include <iostream>
#include <sstream>

namespace {

using clampbook::text::Json;
namespace cli = clampbook::cli;

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (std::string_view("_*\\").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

std::string row(std::string_view name, std::string_view value, std::string_view help) {
  const std::string shown = value.empty() ? "" : fmt::format(" _{}_", escaped(value));
  const std::string bold = name.empty() ? shown.substr(1) : fmt::format("*{}*{}", escaped(name), shown);
  return fmt::format("{}\n\t{}\n\n", bold, escaped(help));
}

std::string options(const cli::VerbSpec* verb) {
  std::string out;
  if (verb != nullptr) {
    for (const cli::Operand& o : verb->operands) out += row("", o.name, o.help);
    for (const cli::Option& o : verb->options) out += row(o.name, o.value, o.help);
    out += "Everywhere:\n\n";
  }
  for (const cli::Option& o : cli::global_options()) out += row(o.name, o.value, o.help);
  return out;
}

std::string verbs() {
  std::string out;
  for (const std::string_view name : cli::verb_names())
    out += fmt::format("*clampbook-{}*(1)\n\t{}\n\n", name, escaped(cli::find_command(name)->spec.summary));
  return out;
}

std::string read(const char* path) {
  std::ifstream in(path);
  if (!in) throw std::runtime_error(fmt::format("{} can't be read", path));
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

std::string page(const std::string& scd, const std::string& cautions) {
  const std::string title = scd.substr(0, scd.find('('));
  constexpr std::string_view kPrefix = "clampbook-";
  const cli::VerbSpec* verb = nullptr;
  if (title.starts_with(kPrefix))
    if (const auto command = cli::find_command(title.substr(kPrefix.size()))) verb = &command->spec;
  if (verb == nullptr && title != "clampbook") throw std::runtime_error(fmt::format("'{}' is no verb", title));
  std::istringstream lines(scd);
  std::string out;
  for (std::string line; std::getline(lines, line);) {
    if (line == "{options}") {
      out += options(verb);
    } else if (line == "{verbs}") {
      out += verbs();
    } else if (line == "{cautions}") {
      out += cautions;
    } else {
      out += line + "\n";
    }
  }
  return out;
}

Json row_json(std::string_view name, std::string_view value, std::string_view help) {
  return Json::object()
      .set("name", std::string(name))
      .set("value", std::string(value))
      .set("help", std::string(help));
}

Json tables() {
  Json everywhere = Json::array();
  for (const cli::Option& o : cli::global_options()) everywhere.push(row_json(o.name, o.value, o.help));
  Json list = Json::array();
  for (const std::string_view name : cli::verb_names()) {
    const cli::VerbSpec& verb = cli::find_command(name)->spec;
    Json operands = Json::array();
    for (const cli::Operand& o : verb.operands)
      operands.push(row_json(o.name, "", o.help).set("required", o.required).set("repeated", o.repeated));
    Json options = Json::array();
    for (const cli::Option& o : verb.options) options.push(row_json(o.name, o.value, o.help));
    Json examples = Json::array();
    for (const std::string_view example : verb.examples) examples.push(std::string(example));
    list.push(Json::object()
                  .set("verb", std::string(name))
                  .set("summary", std::string(verb.summary))
                  .set("operands", std::move(operands))
                  .set("options", std::move(options))
                  .set("examples", std::move(examples)));
  }
  return Json::object().set("verbs", std::move(list)).set("everywhere", std::move(everywhere));
}

}  // namespace

int main(int argc, char** argv) {
  try {
    if (argc == 2 && std::string_view(argv[1]) == "--tables") {
      std::cout << tables().dump() << '\n';
    } else if (argc == 3) {
      std::cout << page(read(argv[1]), read(argv[2]));
    } else {
      throw std::runtime_error("usage: clampbook_manual TEMPLATE.scd CAUTIONS.scd | --tables");
    }
    return std::cout.flush().good() ? 0 : 1;
  } catch (const std::exception& e) {
    std::cerr << "clampbook_manual: " << e.what() << '\n';
    return 1;
  }
}
