// expect: one of integers would cut off fractions
#include <clampbook/units/quantities.h>

using namespace clampbook::units;

inline constexpr Scale<boost::units::quantity<si::length, int>> whole_metre{1};
