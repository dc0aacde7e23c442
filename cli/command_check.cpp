#include "cli/command.h"
#include "cli/selection.h"

#include <clampbook/plan/plan_json.h>
#include <clampbook/record/book_file.h>
#include <clampbook/report/pass_text.h>
#include <clampbook/review/finding.h>
#include <clampbook/review/piece.h>

#include <algorithm>

namespace clampbook::cli {

namespace {

using review::Finding;
using text::Json;

const VerbSpec& spec() {
  static const VerbSpec kSpec{"check",
                              "Says what was missed, doubled, out of order, outside its window or in the wrong unit.",
                              {{"BOOK", "the record file"}},
                              {{"--pass", "N", "this pass (default: the latest)"}, {"--so-far", "", "leave out the steps that were not reached yet"}},
                              {"clampbook check engine.book", "clampbook check engine.book --so-far", "clampbook check engine.book --pass 1 --json"}};
  return kSpec;
}

Json bolts_json(const std::vector<review::BoltState>& states) {
  Json out = Json::array();
  for (const review::BoltState& state : states) {
    Json readings = Json::array();
    for (const std::int64_t seq : state.readings) readings.push(seq);
    out.push(Json::object()
                 .set("id", state.id)
                 .set("fastener", state.fastener)
                 .set("uses", state.uses)
                 .set("readings", std::move(readings))
                 .set("preload_N", nullptr)
                 .set("friction", nullptr)
                 .set("yielded", nullptr)
                 .set("why_not", state.why_not));
  }
  return out;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const std::string book_name = *arguments.operand("BOOK");
  const record::Book book = record::read_book(book_name);
  std::vector<review::Pass> passes = review::read_passes(book, book_name);
  const review::Pass& pass = select_pass(passes, arguments, PassFor::reading, book_name);
  const auto until = arguments.has("--so-far") ? review::Until::so_far : review::Until::finished;
  const std::vector<Finding> findings = review::find_findings(book, passes, pass, until);
  const ExitStatus status = review::falls_short(findings) ? ExitStatus::falls_short : ExitStatus::done;
  if (!context.json) {
    write_text(context, report::check_text(book_name, book, pass, findings, text_style(context)));
    return status;
  }
  const review::Progress progress(pass);
  const auto missed = std::count_if(findings.begin(), findings.end(), [](const Finding& f) { return f.slug == "missed-step" || f.slug == "gate-open"; });
  Json list = Json::array();
  for (const Finding& finding : findings) list.push(review::to_json(finding));
  const plan::Step* due = progress.due();
  write_json(context, Json::object()
                          .set("book", book_name)
                          .set("pass", pass.number)
                          .set("trial", pass.trial)
                          .set("complete", review::is_complete(pass, findings))
                          .set("steps", Json::object()
                                            .set("planned", pass.plan.steps.size())
                                            .set("filled", progress.filled_count())
                                            .set("missed", static_cast<std::int64_t>(missed)))
                          .set("findings", std::move(list))
                          .set("bolts", bolts_json(review::bolt_states(passes, pass)))
                          .set("seal", book.seal)
                          .set("next", due != nullptr ? plan::to_json(*due) : Json()));
  return status;
}

}  // namespace

Command check_command() { return {spec(), run}; }

}  // namespace clampbook::cli
