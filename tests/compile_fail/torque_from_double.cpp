// expect: (conversion from|no viable conversion from) .double. to .*clampbook::units::Torque
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

Torque torque() {
  Torque result = 5.0;  // five of what?
  return result;
}
