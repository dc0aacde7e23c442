// expect: operand.*clampbook::units::Torque
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

bool less(Torque torque, Energy energy) {
  return torque < energy;
}
