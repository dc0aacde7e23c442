#include <clampbook/plan/window.h>

#include <cmath>

namespace clampbook::plan {

namespace {

constexpr double kRoom = 1e-9;

}  // namespace

Side side(const Measured& value, const std::optional<Measured>& low, const std::optional<Measured>& high) {
  const double v = value.si();
  if (low && v < low->si() - kRoom * std::fabs(low->si())) return Side::below;
  if (high && v > high->si() + kRoom * std::fabs(high->si())) return Side::above;
  return Side::inside;
}

Side side(const Step& step, const Measured& read) {
  const std::optional<Measured>& bound = step.high ? step.high : step.low;
  if (!bound || bound->dimension() != read.dimension()) return Side::inside;
  return side(step.tightening_part(read), step.low, step.high);
}

}  // namespace clampbook::plan
