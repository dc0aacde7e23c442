// How strong a bolt's metal is: property classes, grades, or a maker's own figures.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/found.h>
#include <clampbook/joint/thread.h>

#include <optional>
#include <string>
#include <string_view>

namespace clampbook::joint {

/// Least values, unless somebody measured them.
struct Strength {
  std::string name;             ///< "10.9", "SAE 8"; empty for figures of a maker's own
  Stress yield;                 ///< ReL, Rpf or Rp0.2
  Stress tensile;               ///< Rm
  Ratio elongation;             ///< A, after fracture; above 0, at most 0.5
  std::optional<Stress> proof;  ///< Sp; a maker's own figures have none
  bool measured = false;        ///< of this very lot, so that nothing is added for a lot's usual excess
};

/// A class of ISO 898-1 ("4.6" .. "12.9") or a grade of SAE J429 ("SAE 2", "SAE 5", "SAE 8"; "SAE J429"
/// or "SAE grade" before the figure is accepted) for that diameter. 8.8 is stronger above 16 mm, SAE 2
/// weaker above 3/4 in, SAE 5 above 1 in. A diameter that the class does not cover fails and says which
/// it does; an unknown name fails with close matches.
/// source  docs/physics.md section 2
[[nodiscard]] Found<Strength> find_strength(std::string_view name, Length diameter);

/// A maker's or a laboratory's own figures.
/// in      yield, tensile  above zero, tensile above yield;  elongation  above 0, at most 0.5
/// throws  DomainError
[[nodiscard]] Strength custom_strength(Stress yield, Stress tensile, Ratio elongation, bool measured = false);

/// Another lot of the same class: yield, tensile and proof scaled alike, so that hardening keeps its shape.
/// in      factor  0.1 .. 10
[[nodiscard]] Strength scaled(const Strength& strength, double factor);

/// Loads of the threaded part: stress area times the stress (docs/physics.md equation 2.1). Nothing for a
/// strength without proof stress.
[[nodiscard]] std::optional<Force> proof_load(const Thread& thread, const Strength& strength);
[[nodiscard]] Force yield_load(const Thread& thread, const Strength& strength);
[[nodiscard]] Force breaking_load(const Thread& thread, const Strength& strength);

}  // namespace clampbook::joint
