#include "cli/command.h"
#include "cli/requests.h"

#include <clampbook/bench/choose.h>
#include <clampbook/record/book_file.h>
#include <clampbook/report/pass_json.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/finding.h>

namespace clampbook::cli {

namespace {

using review::Finding;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "check",
      "Says what was missed, doubled, out of order, outside its window or in the wrong unit.",
      {{"BOOK", "the record file"}},
      {{"--pass", "N", "this pass (default: the latest)"},
       {"--so-far", "", "leave out the steps that were not reached yet"}},
      {"clampbook check casing.book", "clampbook check casing.book --so-far",
       "clampbook check casing.book --pass 1 --json"}};
  return kSpec;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  const record::Book book = record::read_book(book_name);
  std::vector<review::Pass> passes = review::read_passes(book);
  const review::Pass& pass =
      bench::choose_pass(passes, word_of(arguments, "--pass"), bench::PassFor::reading, book_name);
  const auto until = arguments.has("--so-far") ? review::Until::so_far : review::Until::finished;
  const review::PassEstimates estimates = review::estimate_pass(pass, review::Pieces(passes, pass.number));
  const std::vector<Finding> findings = review::find_findings(book, passes, pass, until, &estimates);
  const std::vector<review::BoltState> bolts = review::bolt_states(passes, pass, estimates);
  const ExitStatus status = review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
  if (!context.json) {
    write_text(context, report::check_text(book_name, book, pass, findings, bolts,
                                           text_style(context, pass.plan.written_in())));
    return status;
  }
  write_json(context, report::check_json(book_name, book, pass, findings, bolts));
  return status;
}

}  // namespace

Command check_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
