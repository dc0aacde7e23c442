#include "cli/command.h"

#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/report/bolt_card.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

namespace clampbook::cli {

namespace {

using joint::Length;
using units::Measured;

constexpr double kUsualFriction = 0.12;

const VerbSpec& spec() {
  static const VerbSpec kSpec{
      "bolt",
      "Prints a handbook card of a bolt: geometry, strength, and the torque for a share of yield.",
      {{"THREAD", "M10, M10x1.25, 3/8-16 UNC, ... ; a left-hand thread ends in -LH"},
       {"STRENGTH", "8.8, 10.9, ..., \"SAE 8\""}},
      {{"--thread-friction", "R", "0.01 to 1 (default 0.12)"},
       {"--seat-friction", "R", "under the head, 0.01 to 1 (default 0.12)"},
       {"--head-bearing", "L", "outer diameter of the ring under the head (default hexagon)"},
       {"--hole", "L", "diameter of the hole (default medium)"},
       {"--utilisation", "R", "share of the yield strength (default 90%)"}},
      {"clampbook bolt M10 10.9", "clampbook bolt \"3/8-16 UNC\" \"SAE 8\" --units imperial",
       "clampbook bolt M12x1.25 8.8 --thread-friction 0.1 --seat-friction 0.14 --json"}};
  return kSpec;
}

[[noreturn]] void refuse(const text::SourcePtr& source, std::string_view slug, std::string message,
                         std::string help = {}) {
  throw InputError(text::Diagnostic{std::string(slug), std::move(message), std::move(help), whole(source)});
}

[[noreturn]] void refuse(const text::SourcePtr& source, std::string_view slug, const joint::NotFound& none) {
  refuse(source, slug, none.message, none.help);
}

Measured read_measured(const text::SourcePtr& source, units::Dimension dimension, const units::Unit* fallback,
                       std::string_view example) {
  const units::MeasuredScan scan = units::scan_whole_measured(source->text(), fallback);
  if (!scan) {
    const text::Location at{source, scan.fault_at, scan.fault_length};
    const std::string help = scan.slug == "missing-unit"
                                 ? fmt::format("put the unit after the number, for example {}", example)
                                 : scan.help;
    throw InputError(text::Diagnostic{std::string(scan.slug), scan.message, help, at});
  }
  const Measured out(scan.number, *scan.unit);
  if (out.dimension() != dimension) {
    refuse(source, "wrong-dimension",
           fmt::format("{} is {}, not {}", source->text(), units::with_article(out.dimension()),
                       units::with_article(dimension)),
           fmt::format("for example {}", example));
  }
  return out;
}

/// A ratio of an option, between its bounds; `otherwise` when the option is left out.
double read_ratio(const Arguments& arguments, std::string_view option, double low, double high,
                  double otherwise) {
  const auto word = arguments.value(option);
  if (!word) return otherwise;
  const text::SourcePtr source = argument(option, *word);
  const double ratio =
      read_measured(source, units::Dimension::ratio, &units::one_unit(), fmt::format("{}", otherwise)).si();
  if (ratio < low || ratio > high)
    refuse(source, "out-of-domain", fmt::format("{} is outside {} to {}", *word, low, high));
  return ratio;
}

std::optional<Length> read_length(const Arguments& arguments, std::string_view option) {
  const auto word = arguments.value(option);
  if (!word) return std::nullopt;
  const text::SourcePtr source = argument(option, *word);
  const Measured length = read_measured(source, units::Dimension::length, nullptr, "14.6mm");
  if (length.number() <= 0) refuse(source, "out-of-domain", fmt::format("{} must be more than zero", *word));
  return units::to<Length>(length);
}

joint::NamedThread read_thread(const Arguments& arguments) {
  const std::string word = *arguments.operand("THREAD");
  const auto found = joint::find_thread(word);
  if (!found) refuse(argument("THREAD", word), "unknown-word", found.failure());
  return *found;
}

joint::Strength read_strength(const Arguments& arguments, const joint::Thread& thread) {
  const std::string word = *arguments.operand("STRENGTH");
  const auto found = joint::find_strength(word, thread.diameter());
  if (found) return *found;
  // A class that exists for another size is no unknown word.
  const bool known = static_cast<bool>(joint::find_strength(word, units::of(10, units::millimetre)));
  const std::string& help = found.failure().help;
  refuse(argument("STRENGTH", word), known ? "out-of-domain" : "unknown-word", found.failure().message,
         known ? help.substr(0, help.find(';')) : help);  // a card takes no figures of one's own
}

struct Ring {
  Length outer, inner;
  bool outer_from_table, inner_from_table;
};

// The ring under the head must be one; what the person wrote is what is wrong with it.
void require_ring(const Ring& ring, const joint::Thread& thread, const Arguments& arguments) {
  const auto mm = [](Length l) { return units::significant(units::value_in(l, units::millimetre), 4); };
  constexpr double kSlack = 1 - 1e-9;
  if (!ring.inner_from_table && ring.inner < kSlack * thread.diameter()) {
    refuse(argument("--hole", *arguments.value("--hole")), "out-of-domain",
           fmt::format("a hole of {} mm is narrower than the thread ({} mm)", mm(ring.inner),
                       mm(thread.diameter())));
  }
  if (ring.inner < kSlack * ring.outer) return;
  const std::string_view guilty = ring.inner_from_table ? "--head-bearing" : "--hole";
  refuse(
      argument(guilty, *arguments.value(guilty)), "out-of-domain",
      fmt::format("a head that bears on {} mm falls through a hole of {} mm", mm(ring.outer), mm(ring.inner)),
      "--head-bearing is the outer diameter of the ring on which the head turns");
}

Ring read_ring(const Arguments& arguments, const joint::NamedThread& named) {
  const std::optional<Length> bearing = read_length(arguments, "--head-bearing");
  const std::optional<Length> hole = read_length(arguments, "--hole");
  const auto head = joint::find_standard_head(joint::HeadShape::hexagon, named.thread);
  const auto clearance = joint::find_clearance_hole(named.thread);
  const bool no_head = !bearing && !head, no_hole = !hole && !clearance;
  if (no_head || no_hole) {
    const auto around = [&](double diameters) {
      return units::significant(units::value_in(diameters * named.thread.diameter(), units::millimetre), 2);
    };
    std::vector<std::string> options, examples;
    if (no_head) options.emplace_back("--head-bearing"), examples.push_back(around(1.5));
    if (no_hole) options.emplace_back("--hole"), examples.push_back(around(1.1));
    std::string help = "for example";
    for (std::size_t i = 0; i < options.size(); ++i) help += fmt::format(" {} {}mm", options[i], examples[i]);
    throw UsageError(
        text::Diagnostic{"missing-argument",
                         fmt::format("{} needs {}: {}", named.name, fmt::join(options, " and "),
                                     no_head ? head.failure().message : clearance.failure().message),
                         std::move(help)});
  }
  Ring ring{bearing ? *bearing : head->seat_outer, hole ? *hole : *clearance, !bearing, !hole};
  require_ring(ring, named.thread, arguments);
  return ring;
}

ExitStatus run(const Arguments& arguments, Context& context) {
  const joint::NamedThread named = read_thread(arguments);
  const joint::Strength strength = read_strength(arguments, named.thread);
  const joint::ThreadFriction thread_friction(
      read_ratio(arguments, "--thread-friction", 0.01, 1, kUsualFriction));
  const joint::SeatFriction seat_friction(read_ratio(arguments, "--seat-friction", 0.01, 1, kUsualFriction));
  const double utilisation = read_ratio(arguments, "--utilisation", 0.01, 1, joint::kAssemblyUtilisation);
  const Ring ring = read_ring(arguments, named);
  const report::BoltCard card{named,      strength,   thread_friction,       seat_friction,
                              ring.outer, ring.inner, ring.outer_from_table, ring.inner_from_table,
                              utilisation};
  if (context.json) {
    write_json(context, report::to_json(card));
  } else {
    write_text(context, report::bolt_card(card, text_style(context)));
  }
  return ExitStatus::done;
}

}  // namespace

Command bolt_command() {
  return {spec(), run};
}

}  // namespace clampbook::cli
