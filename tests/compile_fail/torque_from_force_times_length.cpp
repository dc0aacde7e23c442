// expect: (conversion from|no viable conversion from) .*plane_angle
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

Torque torque(Force force, Length arm) {
  Torque result = force * arm;  // an energy: a lever is a length for each radian
  return result;
}
