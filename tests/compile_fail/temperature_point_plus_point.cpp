// expect: deleted .*operator.*\+
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

auto sum(TemperaturePoint a, TemperaturePoint b) {
  return a + b;
}
