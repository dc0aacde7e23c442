// The guard at the door of every formula: an argument outside the range where the formula means
// something never gets in, so that no NaN or infinity ever comes out.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/types.h>
#include <clampbook/text/error.h>

#include <string>

namespace clampbook::joint {

/// Throws DomainError unless low <= value <= high; NaN never passes. Returns the value.
inline double require_between(double value, double low, double high, const char* argument) {
  if (value >= low && value <= high) return value;
  throw DomainError(argument, value, fmt::format("{} to {}", low, high));
}

// In SI units no real figure of a joint is larger than kLargest or, unless it is zero, smaller than
// kSmallest. Holding arguments between them keeps every product and quotient of this room finite.
inline constexpr double kLargest = 1e18;
inline constexpr double kSmallest = 1e-18;

/// Throws DomainError unless the quantity is above zero and of a size that can be. Returns it.
template <class Quantity>
const Quantity& require_positive(const Quantity& quantity, const char* argument) {
  const double number = units::si_number(quantity);
  if (number >= kSmallest && number <= kLargest) return quantity;
  throw DomainError(argument, number,
                    number > kLargest ? "finite, at most 1e18" : "above zero, at least 1e-18");
}

/// Throws DomainError unless the quantity is zero or above and of a size that can be. Returns it.
template <class Quantity>
const Quantity& require_not_negative(const Quantity& quantity, const char* argument) {
  const double number = units::si_number(quantity);
  if (number >= 0 && number <= kLargest) return quantity;
  throw DomainError(argument, number, number > kLargest ? "finite, at most 1e18" : "zero or above");
}

/// Throws DomainError unless the quantity is finite and of a size that can be. Returns it.
template <class Quantity>
const Quantity& require_finite(const Quantity& quantity, const char* argument) {
  const double number = units::si_number(quantity);
  if (number >= -kLargest && number <= kLargest) return quantity;
  throw DomainError(argument, number, "finite, at most 1e18 to either side");
}

}  // namespace clampbook::joint
