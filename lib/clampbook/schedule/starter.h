// A first schedule to fill in: complete, commented, and accepted as it is.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/model.h>
#include <clampbook/units/format.h>

#include <optional>
#include <string>
#include <vector>

namespace clampbook::schedule {

struct StarterBolt {
  units::Measured x, y;
};

struct StarterOptions {
  units::System system = units::System::metric;  ///< of the figures that stand for the maker's
  std::string thread = "M10";
  std::string strength = "8.8";
  std::vector<StarterBolt> bolts;
  OrderKind order = OrderKind::centre_out;
  bool ascii =
      false;  ///< each unit in its ASCII spelling, for editors and terminals that know no other signs
};

/// `rows` rows of `columns` bolts about the middle; along the row first, from the top left.
[[nodiscard]] std::vector<StarterBolt> bolts_in_rows(int rows, int columns, const units::Measured& along,
                                                     const units::Measured& between);
/// `count` bolts on a circle of the diameter, anticlockwise from the right.
[[nodiscard]] std::vector<StarterBolt> bolts_on_circle(int count, const units::Measured& diameter);

/// The text of the schedule.
[[nodiscard]] std::string starter_schedule(const StarterOptions& options);

}  // namespace clampbook::schedule
