#include <clampbook/report/figures.h>

#include <fmt/format.h>

namespace clampbook::report {

using units::three_digits;
using units::value_in;

namespace {

joint::Force newtons(double f) {
  return units::of(f, units::newton);
}

}  // namespace

std::string Figures::force(joint::Force f) const {
  return fmt::format("{} {}", number(f), force_unit());
}

std::string Figures::force(const plan::Estimate<joint::Force>& e) const {
  return range(e.nominal, e.p5, e.p95);
}

std::string Figures::force(const review::Interval& i) const {
  return range(newtons(i.median), newtons(i.p5), newtons(i.p95));
}

std::string Figures::short_force(const review::Interval& i) const {
  return fmt::format("{} ({}..{})", force(newtons(i.median)), number(newtons(i.p5)), force(newtons(i.p95)));
}

std::string Figures::torque(joint::Torque t) const {
  return fmt::format("{} {}", number(t), imperial_ ? "ft·lbf" : "N·m");
}

std::string Figures::torque(const plan::Estimate<joint::Torque>& e) const {
  return fmt::format("{} ({}..{})", torque(e.nominal), number(e.p5), number(e.p95));
}

std::string Figures::length(joint::Length l) const {
  return imperial_ ? fmt::format("{:.4f} in", value_in(l, units::inch))
                   : fmt::format("{:.3f} mm", value_in(l, units::millimetre));
}

std::string Figures::stiffness(joint::Stiffness s) const {
  const double metric = value_in(s, units::newton_per_millimetre);
  return imperial_ ? three_digits(metric / 175.1268) + " kip/in" : three_digits(metric / 1000) + " kN/mm";
}

std::string Figures::number(joint::Force f) const {
  return three_digits(imperial_ ? value_in(f, units::pound_force) : value_in(f, units::kilonewton));
}

std::string Figures::number(joint::Torque t) const {
  return three_digits(imperial_ ? value_in(t, units::foot_pound) : value_in(t, units::newton_metre));
}

std::string Figures::range(joint::Force middle, joint::Force low, joint::Force high) const {
  return fmt::format("{} {}, 90 % between {} and {} {}", number(middle), force_unit(), number(low),
                     number(high), force_unit());
}

}  // namespace clampbook::report
