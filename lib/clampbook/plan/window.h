// Whether a reading lies in its window: the one place that decides it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/plan/plan.h>

namespace clampbook::plan {

enum class Side { below, inside, above };

/// Where `value` lies of a window, both ends of which belong to it; a missing end bounds nothing. A
/// conversion between units never fails a bound: 1e-9 of it is left as room. in      value, low, high  of one
/// dimension
[[nodiscard]] Side side(const Measured& value, const std::optional<Measured>& low,
                        const std::optional<Measured>& high);

/// The same of what was read at a step: what of a torque turns its lock nut is taken off first. Inside when
/// the step has no window, or one of another dimension.
[[nodiscard]] Side side(const Step& step, const Measured& read);

[[nodiscard]] inline bool inside(const Measured& value, const std::optional<Measured>& low,
                                 const std::optional<Measured>& high) {
  return side(value, low, high) == Side::inside;
}

}  // namespace clampbook::plan
