// What a handbook's table says of one bolt: the preload at a share of yield, and the torque that gives it.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/torque.h>
#include <clampbook/joint/yield.h>

namespace clampbook::joint {

struct AssemblyFigures {
  Force preload;
  Torque torque;  ///< without prevailing torque
  double nut_factor;
  TorqueSplit split;
};

/// Preload at `utilisation` of the yield strength, pull and twist together with the plastic torsion modulus,
/// in the threaded part; and its torque.
/// in      yield  above zero;  utilisation  above 0, at most 1
/// throws  DomainError
/// source  VDI 2230 tables A1 to A4; docs/physics.md equations 3.2, 3.3, 3.6 and 4.3
[[nodiscard]] AssemblyFigures assembly_figures(const Thread& thread, Stress yield, const Contact& contact,
                                               double utilisation = kAssemblyUtilisation);

}  // namespace clampbook::joint
