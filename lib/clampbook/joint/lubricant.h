// What is on the threads, as people name it, and what friction that leaves to expect.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/found.h>

#include <span>
#include <string_view>

namespace clampbook::joint {

/// Friction of one face: the figure to compute with, and the 5 % and 95 % points of a lognormal.
struct FrictionRange {
  double low;
  double nominal;
  double high;
};

struct Lubricant {
  FrictionRange thread;
  FrictionRange seat;
};

/// "moly paste", "graphite paste", "assembly paste", "engine oil", "grease", "wax", "as delivered", "dry";
/// else fails with close matches.
/// source  data/lubricants.inc
[[nodiscard]] Found<Lubricant> find_lubricant(std::string_view name);
[[nodiscard]] std::span<const std::string_view> lubricant_names();

/// A single written figure: 20 % to either side.
/// throws  DomainError unless 0 < value, 1.2 value <= 1
[[nodiscard]] FrictionRange friction_about(double value);
/// A written range; the nominal figure is its middle.
/// throws  DomainError unless 0 < low <= high <= 1
[[nodiscard]] FrictionRange friction_between(double low, double high);

}  // namespace clampbook::joint
