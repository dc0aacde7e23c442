// The guard at the door of every formula: an argument outside the range where the formula means
// something never gets in, so that no NaN or infinity ever comes out.
#pragma once

#include <clampbook/joint/types.h>
#include <clampbook/text/error.h>

#include <cmath>
#include <string>

namespace clampbook::joint {

/// Throws DomainError unless low <= value <= high; NaN never passes. Returns the value.
inline double require_between(double value, double low, double high, const char* argument) {
  if (value >= low && value <= high) return value;
  throw DomainError(argument, value, fmt::format("{} to {}", low, high));
}

/// Throws DomainError unless the quantity is finite and above zero. Returns it.
template <class Quantity>
const Quantity& require_positive(const Quantity& quantity, const char* argument) {
  const double number = units::si_number(quantity);
  if (!(std::isfinite(number) && number > 0)) throw DomainError(argument, number, "finite and above zero");
  return quantity;
}

/// Throws DomainError unless the quantity is finite and not below zero. Returns it.
template <class Quantity>
const Quantity& require_not_negative(const Quantity& quantity, const char* argument) {
  const double number = units::si_number(quantity);
  if (!(std::isfinite(number) && number >= 0))
    throw DomainError(argument, number, "finite and not below zero");
  return quantity;
}

/// Throws DomainError unless the quantity is finite. Returns it.
template <class Quantity>
const Quantity& require_finite(const Quantity& quantity, const char* argument) {
  const double number = units::si_number(quantity);
  if (!std::isfinite(number)) throw DomainError(argument, number, "finite");
  return quantity;
}

}  // namespace clampbook::joint
