// The quantities of this room without their namespace, so that a signature reads like its formula.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/units/quantities.h>

namespace clampbook::joint {

using units::Angle;
using units::AnglePerForce;
using units::Area;
using units::AreaMoment;
using units::Energy;
using units::Force;
using units::Length;
using units::LeverArm;
using units::Ratio;
using units::Resilience;
using units::Stiffness;
using units::Stress;
using units::TemperatureChange;
using units::ThermalExpansion;
using units::Torque;
using units::TorqueRate;
using units::TorsionalResilience;

inline constexpr double kPi = units::kPi;

}  // namespace clampbook::joint
