// expect: the unit is one of another dimension than the quantity
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

double torque(Length length) {
  return value_in(length, newton_metre);
}
