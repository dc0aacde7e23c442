// The tools of a workshop as its owner wrote them down: ranges, limits of error, when they are due.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/schedule/target.h>
#include <clampbook/text/source.h>
#include <clampbook/units/measured.h>

#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace clampbook::schedule {

/// When a tool was last held to a reference, and when it is to be held to one again.
struct Calibration {
  std::optional<std::chrono::year_month_day> done{};
  std::optional<std::chrono::year_month_day> due{};  ///< after `done`
};

/// A piece between wrench and bolt that moves the drive away from the wrench's own square.
struct ToolAdapter {
  units::Measured reach;  ///< square to square, above zero
  units::Measured angle;  ///< from straight on, 0 to 180 degrees
};

enum class Indicates { unsaid, click, value };
enum class DecimalSign { point, comma };

struct TorqueWrench {
  std::string name;
  text::Location at;
  Window range;              ///< of the setting, low below high
  units::Measured accuracy;  ///< limit of error as a share of the setting, above 0, at most 0.5
  Calibration calibration{};
  std::optional<units::Measured> length{};  ///< from the square to the hand; there when `adapter` is
  std::optional<ToolAdapter> adapter{};
  Indicates indicates = Indicates::unsaid;
  const units::Unit* unit = nullptr;  ///< of torque: what it shows; null when unsaid

  // How to read the lines that it sends (docs/tools.md):
  std::string line{};  ///< a template with {torque}, {angle} and {skip}; empty when unsaid
  DecimalSign decimal = DecimalSign::point;
  std::string ignore{};  ///< lines that begin with this are passed over; empty for none
};

/// What measures an angle or a length.
struct Gauge {
  std::string name;
  text::Location at;
  units::Measured accuracy;  ///< limit of error: an angle of an angle gauge, a length of a length gauge
  Calibration calibration{};
};

struct ToolList {
  std::string title{}, notice{};
  std::vector<TorqueWrench> torque_wrenches{};
  std::vector<Gauge> angle_gauges{};
  std::vector<Gauge> length_gauges{};
};

/// Reads `format: tool list 1` (docs/tools.md). Throws InputError with up to 20 problems in file order, each
/// with its place. Names are unique over all three kinds.
[[nodiscard]] ToolList read_tools(const text::SourcePtr& source);

}  // namespace clampbook::schedule
