// Synthetic pulls with their truth, for tests: a curve that is not the reader's own model (the knee is a
// power law, friction drifts with load), and on top of it what loggers and ratchets add.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace pulls {

/// What the logger adds: shares of the torque unless the name says otherwise.
struct Noise {
  double torque = 0, torque_floor_Nm = 0, stick_slip = 0, angle_deg = 0;
};
inline constexpr Noise kGood{0.004, 0.06, 0.02, 0.04};
inline constexpr Noise kFair{0.01, 0.12, 0.04, 0.1};
inline constexpr Noise kPoor{0.02, 0.25, 0.08, 0.3};

enum class Kind { yielding, elastic, prevailing, cross_threaded, stripped, bottomed, retightened };

struct Reading {
  double seconds, degrees, newton_metres;
};

struct Truth {
  std::string verdict{};
  double slope = 0, origin = 0, snug = 0, peak = 0, end = 0, prevailing = 0;
  std::optional<double> half_slope{}, half_slope_torque{};
  std::optional<double> yield_02{}, yield_02_torque{};
  double offset = 0;  ///< degrees that 0.2 % strain adds
};

struct Pull {
  std::vector<Reading> readings{};
  Truth truth{};
};

/// The same for the same arguments, everywhere.
[[nodiscard]] Pull make(Kind kind, const Noise& noise, std::uint64_t seed);

/// As a logger writes it: `time_s,angle_deg,torque_Nm`, tenths of a degree and of a newton metre.
[[nodiscard]] std::string csv(const Pull& pull);

}  // namespace pulls
