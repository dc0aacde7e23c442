#include <clampbook/report/figures.h>
#include <clampbook/report/rounds_text.h>
#include <clampbook/text/utf8.h>

#include <fmt/format.h>

namespace clampbook::report {

namespace {

std::string levels_text(const plan::RoundScheme& scheme) {
  std::string out;
  for (const double level : scheme.levels)
    out += fmt::format("{}{:.0f}", out.empty() ? "" : ", ", 100 * level);
  return out + " %";
}

std::string order_text(schedule::OrderKind kind) {
  switch (kind) {
    case schedule::OrderKind::centre_out:
      return "centre_out";
    case schedule::OrderKind::star:
      return "star";
    case schedule::OrderKind::circle:
      return "circle";
    case schedule::OrderKind::explicit_list:
      return "the order given";
    case schedule::OrderKind::listed:
      break;
  }
  return "listed";
}

std::string one(const plan::RoundsPrediction& r, const TextStyle& style) {
  const auto line = [&](std::string_view text, std::size_t indent) {
    return wrapped(text, style.width, indent, indent + 2) + "\n";
  };
  std::string out = "\n" + line(fmt::format("Rounds: {}", text::printable(r.fastener)), 0);
  if (!r.why_not.empty()) return out + line(fmt::format("nothing can be said: {}", r.why_not), 2);
  out += line(fmt::format("after one round at {}, lost to the bolts that came later:",
                          Figures(style).force(r.target)),
              2);
  std::string losses;
  for (const plan::BoltLoss& loss : r.losses)
    losses += fmt::format("{}bolt {} {:.1f} %", losses.empty() ? "" : ", ", text::printable(loss.bolt),
                          100 * std::max(loss.share, 0.0));
  out += line(losses, 4);
  out += "  order            rounds at               least   mean   cov\n";
  for (const plan::RoundScheme& s : r.schemes)
    out += fmt::format("  {} {} {:>5.1f} % {:>4.1f} % {:>4.1f} %\n", padded(order_text(s.order), 16),
                       padded(levels_text(s), 22), 100 * s.least, 100 * s.mean, 100 * s.variation);
  out += line(r.rounds
                  ? fmt::format("the spread is under 10 % after {} {} at full torque in the schedule's order",
                                *r.rounds, *r.rounds == 1 ? "round" : "rounds")
                  : std::string("four rounds at full torque do not bring the spread under 10 %"),
              2);
  if (r.gasket)
    out += line(
        "! a soft layer lies between: write the last round twice and a recheck behind it; what still moves "
        "is "
        "tightened again",
        2);
  return out +
         line(
             "Elastic, on an infinite plate: bolts at an edge come out too stiff, and a gasket that creeps "
             "loses "
             "more. A second round at full torque evens out more than lower rounds before it; those let the "
             "joint close evenly.",
             2);
}

}  // namespace

std::string rounds_text(const std::vector<plan::RoundsPrediction>& rounds, const TextStyle& style) {
  std::string out;
  for (const plan::RoundsPrediction& r : rounds) out += one(r, style);
  return out;
}

}  // namespace clampbook::report
