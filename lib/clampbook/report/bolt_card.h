// One bolt as a handbook has it: geometry, strength, and what it is tightened to.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/assembly.h>
#include <clampbook/joint/strength.h>
#include <clampbook/joint/thread_name.h>
#include <clampbook/report/text_style.h>
#include <clampbook/text/json.h>

#include <string>

namespace clampbook::report {

struct BoltCard {
  joint::NamedThread thread;
  joint::Strength strength;
  joint::ThreadFriction thread_friction;
  joint::SeatFriction seat_friction;
  joint::Length head_bearing;  ///< outer diameter of the ring on which the head turns
  joint::Length hole;          ///< its inner diameter, less than the outer
  bool head_from_table;        ///< a standard hexagon head, else the caller's figure
  bool hole_from_table;        ///< a standard medium clearance hole, else the caller's figure
  double utilisation;          ///< above 0, at most 1

  /// throws  DomainError
  [[nodiscard]] joint::AssemblyFigures assembly() const;
};

/// `{thread, strength, pitch_mm, pitch_diameter_mm, minor_diameter_mm, stress_area_mm2, yield_MPa,
/// tensile_MPa, proof_load_N, yield_load_N, breaking_load_N, assembly_preload_N, assembly_torque_Nm,
/// nut_factor, torque_split: {pitch, thread, seat}}`.
/// throws  DomainError
[[nodiscard]] text::Json to_json(const BoltCard& card);

/// The same for a person, in 40 columns so that it fits a telephone's screen, with the conventions behind the
/// figures and the standing cautions. Without a unit system asked for, an inch thread is shown in inches.
/// throws  DomainError
[[nodiscard]] std::string bolt_card(const BoltCard& card, const TextStyle& style);

}  // namespace clampbook::report
