#include <clampbook/review/judge.h>

#include <fmt/format.h>

namespace clampbook::review {

using plan::StageKind;

namespace {

// A reading that is only logged again is a second one.
std::string in_place_of(const Entry* entry) {
  return entry != nullptr ? fmt::format("with --correct {}", entry->seq) : std::string("as a correction");
}

std::string too_low_before(const Entry* entry, StageKind later) {
  const std::string mistyped =
      fmt::format("if it was only mistyped, log the right reading {}", in_place_of(entry));
  if (schedule::row(later).turns_on)
    return "do not pull on: the bolt's later stages began from too little; " + mistyped +
           "; else loosen it fully and start it again at snug, or fit a new one if it may be past its yield "
           "point";
  const std::string_view since = later == StageKind::loosen ? "loosened" : "tightened further";
  return fmt::format("do not turn the bolt for this: it was {} since; {}; else accept it with the reason",
                     since, mistyped);
}

std::string too_low(const Step& step, const Entry* entry) {
  switch (step.kind) {
    case StageKind::angle:
      return fmt::format(
          "turn on by the degrees that are missing in one steady pull, and log both turns joined by a plus "
          "sign {}; if the start of the turn is in doubt, turn no further and mark it unsure",
          in_place_of(entry));
    case StageKind::stretch:
      return fmt::format(
          "tighten on until the stretch is reached, measured from the bolt's free length, and log it {}",
          in_place_of(entry));
    case StageKind::loosen:
      return "look whether it moved at all, and loosen it as the stage says";
    default:
      return fmt::format("tighten on to the window, and log what it reaches {}", in_place_of(entry));
  }
}

std::string too_high(const Step& step) {
  if (step.may_yield || step.kind == StageKind::yield)
    return "do not back off and carry on: the bolt may be past its yield point. Fit a new bolt, bring it "
           "through all stages, then look at its neighbours";
  if (step.kind == StageKind::recheck)
    return "do not loosen it to the number; find out why it is tight, and look at its neighbours";
  return "loosen this bolt fully and start it again at the snug stage; never back off to the number";
}

}  // namespace

std::string remedy_for(std::string_view slug, const Step& step, const Entry* entry,
                       std::optional<StageKind> later) {
  if (slug == "low" && later) return too_low_before(entry, *later);
  if (slug == "low") return too_low(step, entry);
  if (slug == "high") return too_high(step);
  if (slug == "missed-step" && step.kind == StageKind::loosen)
    return "loosen it now and log it; if it was done but not logged, log it with the time at which it was "
           "done";
  if (slug == "missed-step")
    return schedule::row(step.kind).turns_on
               ? "look at the witness marks before you turn; if the bolt was not turned, turn it now and log "
                 "it; if you can't tell, turn no further: mark it unsure"
               : "tighten it now and log it; if it was done but not logged, log it with the time at which it "
                 "was done";
  if (slug == "gate-open")
    return "do it, then tick it off; if it can no longer be done, take the joint apart as far as needed";
  if (slug == "doubled")
    return schedule::row(step.kind).turns_on
               ? "if the bolt was turned twice, do not back off and carry on: fit a new bolt and look at its "
                 "neighbours; if it was one turn entered twice, void one of the two lines"
               : "a torque read twice does no harm if both are in the window; void the line that was not a "
                 "reading of this bolt";
  if (slug == "unit-slip")
    return fmt::format(
        "look at the wrench's display unit before you go on. If the unit slipped, log the reading in the "
        "right "
        "unit {}; else treat it as what was applied",
        in_place_of(entry));
  if (slug == "out-of-order")
    return "if it was only logged late, say so in a note; if it was tightened late, the parts may have "
           "closed unevenly: recheck its neighbours";
  if (slug == "angle-without-torque")
    return "an angle counts from a torque: without it nobody knows where the turn began. If the torque was "
           "applied, log it; if not, do not turn on: fit a new bolt or loosen and start it at snug";
  if (slug == "no-movement")
    return "the wrench clicked without turning the bolt, so the bolt may hold more than the target: loosen "
           "it fully and start it again at snug, unless it was tightened before";
  if (slug == "final-torque-out")
    return "a torque outside its range after the full angle speaks of another friction, a wrong bolt or a "
           "damaged thread: stop, and find the cause before the next bolt";
  if (slug == "still-moving")
    return "the joint still settles: go round again at this torque until no bolt moves on, then recheck once "
           "more";
  if (slug == "count-short") return "find what is missing or too many before the joint is closed";
  if (slug == "measure-out") return "do not go on with the next stage; find the cause, then measure again";
  if (slug == "wait-short") return "wait for the rest of the time, then tick it off again";
  return "see docs/errors.md";
}

}  // namespace clampbook::review
