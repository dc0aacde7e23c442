// expect: operand.*clampbook::units::Length
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

auto sum(Length length, Force force) {
  return length + force;
}
