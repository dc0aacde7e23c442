// What to do about a bolt that nobody is sure of, without turning it further.
#pragma once

#include <clampbook/review/pass.h>

#include <optional>
#include <string>

namespace clampbook::review {

/// A torque at which movement tells two states of a bolt apart: above 1.15 times what the earlier state was
/// brought to, below 0.9 times what the later one would need (common practice for the margins).
struct TestTorque {
  Measured low, high;  ///< between these it tells
  Measured torque;     ///< the one to set
};

/// For the step in doubt; nothing when the torques of the two states lie too close together or are not known.
[[nodiscard]] std::optional<TestTorque> test_torque(const Pass& pass, const std::string& bolt, int step);

/// The witness marks first; then the test torque and what its answer means; and what can't be told.
[[nodiscard]] std::string doubt_advice(const Pass& pass, const Doubt& doubt);

}  // namespace clampbook::review
