// A quantity or a target that is read prints as a text that reads back to the same.
#include "tests/fuzz/fuzz.h"

#include <clampbook/schedule/target.h>
#include <clampbook/units/format.h>
#include <clampbook/units/measured.h>

#include <algorithm>
#include <cmath>

using namespace clampbook;

namespace {

template <class Fault>
void check_fault(std::string_view text, std::string_view slug, const std::string& message, const Fault& at,
                 std::size_t length) {
  fuzz::require(!slug.empty() && !message.empty(), "a fault says what is wrong", text);
  // One behind the end is where something is missing.
  fuzz::require(at <= text.size() && length <= std::max<std::size_t>(text.size() - at, 1),
                "a fault lies in the text", text);
}

void check_measured(std::string_view text) {
  const units::MeasuredScan front = units::scan_measured(text);
  if (front) fuzz::require(front.end <= text.size() && front.number_end <= front.end, "a scan ends inside");
  const units::MeasuredScan scan = units::scan_whole_measured(text, &units::one_unit());
  if (!scan) return check_fault(text, scan.slug, scan.message, scan.fault_at, scan.fault_length);
  fuzz::require(scan.unit != nullptr && std::isfinite(scan.number), "a quantity is a number with a unit");
  if (scan.unit == nullptr) return;
  const units::Measured value(scan.number, *scan.unit);
  const std::string printed = units::print(value);
  const units::MeasuredScan again = units::scan_whole_measured(printed, &units::one_unit());
  fuzz::require(static_cast<bool>(again), "what is printed is read", printed);
  fuzz::require(again.number == scan.number && again.unit == scan.unit, "printing changes nothing", printed);
  static_cast<void>(units::format(value));
  static_cast<void>(units::format(value, units::counterpart(value)));
  static_cast<void>(units::format(value, units::unit_in(units::System::imperial, value)));
}

void check_target(std::string_view text, units::Dimension dimension) {
  const schedule::TargetScan scan = schedule::scan_target(text, dimension);
  if (!scan.target)
    return check_fault(text, scan.fault.slug, scan.fault.message, scan.fault.at, scan.fault.length);
  const schedule::Target& target = *scan.target;
  fuzz::require(target.nominal.dimension() == dimension && std::isfinite(target.nominal.si()),
                "a target has its dimension", text);
  fuzz::require(target.low.has_value() == target.high.has_value(), "a window has two ends", text);
  if (target.low) {
    fuzz::require(target.low->number() <= target.nominal.in(target.low->unit()) * (1 + 1e-9) ||
                      target.nominal.number() <= 0,
                  "low <= target", text);
    fuzz::require(target.low->si() <= target.high->si() * (1 + 1e-9) || target.high->number() <= 0,
                  "low <= high", text);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text = fuzz::as_text(data, size);
  check_measured(text);
  for (const units::Dimension dimension :
       {units::Dimension::torque, units::Dimension::angle, units::Dimension::length, units::Dimension::ratio})
    check_target(text, dimension);
  const schedule::ToleranceScan scan = schedule::scan_tolerance(text, units::Dimension::torque);
  if (!scan.tolerance) {
    check_fault(text, scan.fault.slug, scan.fault.message, scan.fault.at, scan.fault.length);
  } else {
    fuzz::require(scan.tolerance->below.number() >= 0 && scan.tolerance->above.number() >= 0,
                  "a tolerance is not below zero", text);
  }
  return 0;
}
