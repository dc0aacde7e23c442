#include "cli/guide.h"

#include "cli/terminal.h"

#include <clampbook/text/error.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

#include <ostream>
#include <variant>

namespace clampbook::cli {

using bench::Asked;
using bench::Outcome;

namespace {

bench::Happened happened(const Happening& happening) {
  switch (happening.kind) {
    case Happening::Kind::end:
      return bench::Notice::ended;
    case Happening::Kind::interrupted:
      return bench::Notice::interrupted;
    case Happening::Kind::wrench_gone:
      return bench::Notice::tool_gone;
    case Happening::Kind::wrench_back:
      return bench::Notice::tool_back;
    case Happening::Kind::typed:
    case Happening::Kind::wrench:
      break;
  }
  const bool typed = happening.kind == Happening::Kind::typed;
  return bench::LineIn{typed ? bench::LineIn::From::typed : bench::LineIn::From::wrench, happening.text,
                       happening.too_long, happening.cut_off};
}

}  // namespace

Guide::Guide(bench::OpenBook& book, bench::Walk& walk, Context& context, GuideInput& input, bool big)
    : book_(book),
      walk_(walk),
      context_(context),
      input_(input),
      big_(big),
      rings_(output_is_a_terminal() && !context.json) {}

Outcome Guide::next() {
  prompt();
  context_.out.flush();
  // Nobody sees what is due: readings that still came would be taken for steps that were never shown.
  if (!context_.out)
    throw StoreError(text::Diagnostic{
        "output-failed", "nothing can be shown any more: the guide ends; what was recorded is kept",
        fmt::format("clampbook guide {} goes on", book_.name())});
  const Happening happening = input_.next();
  if (happening.kind == Happening::Kind::wrench && walk_.settings().somebody_answers) say("\n");
  return bench::turn(book_, walk_, happened(happening));
}

ExitStatus Guide::run() {
  Outcome outcome = bench::start(book_, walk_);
  while (true) {
    for (const bench::Item& item : outcome.items) std::visit([&](const auto& what) { draw(what); }, item);
    if (outcome.signal != bench::Signal::go_on) break;
    outcome = outcome.more ? bench::go_on(book_, walk_) : next();
  }
  context_.out.flush();
  return status_of(outcome.signal);
}

ExitStatus Guide::status_of(bench::Signal signal) {
  if (signal == bench::Signal::interrupted) return ExitStatus::interrupted;
  return signal == bench::Signal::finished && falls_short_ ? ExitStatus::falls_short : ExitStatus::done;
}

void Guide::prompt() {
  if (!walk_.settings().somebody_answers) return;
  std::string out;
  switch (walk_.asked()) {
    case Asked::stage:
      out = "setting, unit, direction right? y ";
      break;
    case Asked::keep:
      out = "keep it? y/n ";
      break;
    case Asked::go_on:
      out = "another stroke, or keep it as it is? y/n ";
      break;
    case Asked::repeat:
      out = "the same value again: a second reading? y/n ";
      break;
    case Asked::companion:
      out = "final torque? (y: not read) ";
      break;
    case Asked::nothing: {
      const plan::Step& step = *walk_.step(view());
      out = step.bolt ? fmt::format("bolt {} ", text::printable(*step.bolt)) : "";
      const bool ticked = step.kind == plan::StageKind::act || step.kind == plan::StageKind::wait;
      out += ticked ? "(y) " : "";
      break;
    }
  }
  write_text(context_, out + "> ");
}

}  // namespace clampbook::cli
