// What a reading says before it meets a step: quantities, strokes, "click", "done".
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>
#include <clampbook/text/source.h>
#include <clampbook/units/measured.h>

#include <optional>
#include <string>

namespace clampbook::bench {

/// A value as it was typed.
struct EntryValue {
  enum class Kind { quantity, click, done };
  Kind kind = Kind::quantity;
  std::optional<units::Measured> quantity{};  ///< the sum of the strokes
  text::SourcePtr source{};
};

/// "30.1 N·m", "25+20+15deg", "click", "done". Throws InputError: bad-number, decimal-comma, missing-unit,
/// unknown-unit, wrong-dimension (strokes of several dimensions), wrong-shape (torques, which do not add up),
/// out-of-domain (below zero).
/// `fallback` is the unit of a number without one: what the tool shows.
[[nodiscard]] EntryValue read_entry_value(const text::SourcePtr& source,
                                          const units::Unit* fallback = nullptr);

/// One quantity. Throws as above.
[[nodiscard]] units::Measured read_quantity(const text::SourcePtr& source);

/// The value that is filed at the step: the step's target for a click, none for "done".
/// Throws InputError: wrong-dimension, nothing recorded.
[[nodiscard]] std::optional<units::Measured> value_for(const EntryValue& value, const plan::Step& step);

/// The dimension of a step's companion: the torque of an angle, the angle of a torque; none without a
/// quantity.
[[nodiscard]] std::optional<units::Dimension> companion_dimension(const plan::Step& step);

}  // namespace clampbook::bench
