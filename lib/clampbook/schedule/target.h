// Figures as people write them: with a tolerance, as a range, doubled in another unit.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/text/source.h>
#include <clampbook/units/measured.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::schedule {

/// How far a figure may be missed: a share of it (both ratios) or an amount in its own dimension.
struct Tolerance {
  units::Measured below;  ///< >= 0
  units::Measured above;  ///< >= 0
};

/// "28 N·m", "28 N·m ± 4 %", "27..29 N·m", "8 N·m +2 -0", each perhaps "(... / ...)" in other units.
struct Target {
  std::string given;                     ///< as typed
  units::Measured nominal;               ///< the figure; the middle of a range
  std::optional<units::Measured> low{};  ///< only when a range or a tolerance was written
  std::optional<units::Measured> high{};
  std::vector<units::Measured> alternates{};  ///< the same figure in other units, checked against the first
};

/// low..high with both ends inside.
struct Window {
  units::Measured low;
  units::Measured high;
};

/// `nominal` less and plus `tolerance`, in the unit of `nominal`.
[[nodiscard]] Window window_of(const units::Measured& nominal, const Tolerance& tolerance);

/// What is wrong with a figure, with the bytes it concerns.
struct TargetFault {
  std::string slug, message, help;
  std::size_t at = 0;
  std::size_t length = 0;
};

struct TargetScan {
  std::optional<Target> target{};
  TargetFault fault{};  ///< when there is no target
};

/// Reads a whole text as a target of the dimension. Faults: bad-number, decimal-comma, missing-unit,
/// unknown-unit, wrong-dimension, out-of-domain, doubled-figure-differs, wrong-shape.
[[nodiscard]] TargetScan scan_target(std::string_view text, units::Dimension dimension);

struct ToleranceScan {
  std::optional<Tolerance> tolerance{};
  TargetFault fault{};
};

/// Reads a `tolerance:` value: "5°", "4 %", "+2 N·m -0 N·m", "± 0.01 mm", for figures of the dimension.
[[nodiscard]] ToleranceScan scan_tolerance(std::string_view text, units::Dimension dimension);

}  // namespace clampbook::schedule
