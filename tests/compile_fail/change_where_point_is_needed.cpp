// expect: could not convert .change. from .clampbook::units::TemperatureChange|no matching function for call
// to 'kelvins'
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

double kelvins(TemperaturePoint point) {
  return point.kelvin();
}
double warmer(TemperatureChange change) {
  return kelvins(change);
}
