// compiles
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

// What the others get wrong, done right.
Torque torque(Force force, LeverArm lever) {
  return force * lever;
}
double millimetres(Length length) {
  return value_in(length, millimetre);
}
Torque five() {
  return of(5, newton_metre);
}
TemperaturePoint warmer(TemperaturePoint point, TemperatureChange change) {
  return point + change;
}
Energy work(Torque torque, Angle angle) {
  return torque * angle;
}
bool less(Torque a, Torque b) {
  return a < b;
}
