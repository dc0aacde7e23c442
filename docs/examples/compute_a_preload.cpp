// What clamp load a torque gives, for one bolt: an M10 of class 10.9 at 30 N·m, oiled.
//
// Wear eye protection. A wrong figure can break a bolt or let parts fly apart.
// The figures are yours: the tool computes, it does not approve. The maker's current data and local codes
// come first. What is safety-critical (rods, flywheels, brakes, lifting, pressure, aircraft) is for someone
// qualified.
#include <clampbook/joint/head.h>
#include <clampbook/joint/hole.h>
#include <clampbook/joint/thread_name.h>
#include <clampbook/joint/torque.h>
#include <clampbook/text/cautions.h>
#include <clampbook/text/error.h>

#include <fmt/format.h>

#include <cstdlib>

using namespace clampbook;

int main() {
  for (const std::string_view caution : text::kStandingCautions) fmt::print("{}\n", caution);
  try {
    const joint::Thread thread = joint::find_thread("M10")->thread;
    const joint::Length seat = joint::find_standard_head(joint::HeadShape::hexagon, thread)->seat_outer;
    const joint::Contact contact{joint::ThreadFriction(0.12), joint::SeatFriction(0.12),
                                 joint::mean_seat_diameter(seat, *joint::find_clearance_hole(thread))};
    const joint::Torque torque = units::of(30, units::newton_metre);
    // Quantities are types: a length can't be passed for a torque, and a number leaves with its unit named.
    const joint::Force force = joint::preload(torque, thread, contact);
    fmt::print("30 N·m clamps with {:.1f} kN if friction is 0.12\n",
               units::value_in(force, units::newton) / 1000);
    // Friction is not known to better than a third or so: the same torque, dry.
    const joint::Contact dry{joint::ThreadFriction(0.25), joint::SeatFriction(0.25), contact.seat_diameter};
    fmt::print("and with {:.1f} kN if the bolt is dry\n",
               units::value_in(joint::preload(torque, thread, dry), units::newton) / 1000);
  } catch (const DomainError& e) {
    fmt::print(stderr, "{}\n", e.what());
    return EXIT_FAILURE;
  }
  return EXIT_SUCCESS;
}
