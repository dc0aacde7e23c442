// Heat: bolt and parts grow by different amounts and the preload follows.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/resilience.h>

#include <vector>

namespace clampbook::joint {

/// A length along the bolt and what its temperature change makes of it.
struct HeatedLength {
  Length length;
  ThermalExpansion expansion;
  TemperatureChange warming;  ///< may be negative
};

/// Gain of preload when parts and bolt warm up, moduli unchanged; a loss is negative.
///
///   dF = [ sum l alpha_P dT_P - l alpha_S dT_S ] / (delta_S + delta_P)
///
/// throws  DomainError
/// source  docs/physics.md equation 9.2
[[nodiscard]] Force thermal_gain(const HeatedLength& bolt, const std::vector<HeatedLength>& parts,
                                 Resilience bolt_resilience, Resilience parts_resilience);

}  // namespace clampbook::joint
