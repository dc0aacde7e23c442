// A tool list is refused with its places, or every tool in it can be worked with.
#include "tests/fuzz/fuzz.h"

#include <clampbook/schedule/line_template.h>
#include <clampbook/schedule/tool_list.h>

#include <cmath>
#include <set>

using namespace clampbook;

namespace {

void check_calibration(const schedule::Calibration& calibration) {
  if (calibration.done && calibration.due)
    fuzz::require(*calibration.done < *calibration.due, "a tool is due after its calibration");
  for (const auto& day : {calibration.done, calibration.due})
    if (day) fuzz::require(day->ok(), "a day is in the calendar");
}

void check_wrench(const schedule::TorqueWrench& wrench) {
  fuzz::require(wrench.range.low.si() < wrench.range.high.si() && wrench.range.low.si() >= 0,
                "a range has width");
  fuzz::require(wrench.accuracy.si() > 0 && wrench.accuracy.si() <= 0.5, "an accuracy is a share");
  if (wrench.adapter) {
    fuzz::require(wrench.length.has_value(), "an adapter needs the wrench's length");
    const double lever =
        wrench.length->si() + wrench.adapter->reach.si() * std::cos(wrench.adapter->angle.si());
    fuzz::require(lever > 0 && std::isfinite(lever), "an adapter leaves a lever");
  }
  if (wrench.unit != nullptr)
    fuzz::require(wrench.unit->dimension == units::Dimension::torque, "a scale shows torque");
  if (!wrench.line.empty())
    fuzz::require(!schedule::check_line_template(wrench.line, wrench.decimal), "a template holds");
  check_calibration(wrench.calibration);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    const schedule::ToolList tools = schedule::read_tools(fuzz::as_source(data, size));
    std::set<std::string> names;
    for (const schedule::TorqueWrench& wrench : tools.torque_wrenches) {
      fuzz::require(names.insert(wrench.name).second, "names differ");
      check_wrench(wrench);
    }
    for (const auto* gauges : {&tools.angle_gauges, &tools.length_gauges})
      for (const schedule::Gauge& gauge : *gauges) {
        fuzz::require(names.insert(gauge.name).second, "names differ");
        fuzz::require(gauge.accuracy.si() > 0, "an accuracy is above zero");
        check_calibration(gauge.calibration);
      }
    fuzz::require(!names.empty(), "a list names a tool");
  } catch (const InputError& refusal) {
    fuzz::require_helpful(refusal);
  }
  return 0;
}
