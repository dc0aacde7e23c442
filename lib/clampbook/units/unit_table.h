// The rows behind unit.h. Private to this room.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/units/unit.h>

#include <array>
#include <numbers>

namespace clampbook::units::table {

// Products are joined in six ways; each unit of torque accepts them all.
#define CLAMPBOOK_JOINED(a, b) a "·" b, a "-" b, a "." b, a "*" b, a " " b, a b

using Words = std::string_view[];

inline constexpr Words kNewtonMetre{CLAMPBOOK_JOINED("N", "m")};
inline constexpr Words kFootPound{CLAMPBOOK_JOINED("ft", "lbf"), CLAMPBOOK_JOINED("ft", "lb"),
                                  CLAMPBOOK_JOINED("ft", "lbs"), CLAMPBOOK_JOINED("lbf", "ft"),
                                  CLAMPBOOK_JOINED("lb", "ft"),  CLAMPBOOK_JOINED("lbs", "ft")};
inline constexpr Words kInchPound{CLAMPBOOK_JOINED("in", "lbf"), CLAMPBOOK_JOINED("in", "lb"),
                                  CLAMPBOOK_JOINED("in", "lbs"), CLAMPBOOK_JOINED("lbf", "in"),
                                  CLAMPBOOK_JOINED("lb", "in"),  CLAMPBOOK_JOINED("lbs", "in")};
inline constexpr Words kInchOunce{CLAMPBOOK_JOINED("in", "ozf"), CLAMPBOOK_JOINED("in", "oz"),
                                  CLAMPBOOK_JOINED("ozf", "in"), CLAMPBOOK_JOINED("oz", "in")};
inline constexpr Words kKilogramMetre{CLAMPBOOK_JOINED("kgf", "m"), CLAMPBOOK_JOINED("kp", "m"), "mkg"};
inline constexpr Words kKilogramCentimetre{CLAMPBOOK_JOINED("kgf", "cm")};
inline constexpr Words kCentinewtonMetre{CLAMPBOOK_JOINED("cN", "m")};
inline constexpr Words kDecanewtonMetre{CLAMPBOOK_JOINED("daN", "m")};
inline constexpr Words kThou{"mil"};
inline constexpr Words kMegapascal{"N/mm²", "N/mm2"};
inline constexpr Words kDegree{"degrees"};

#undef CLAMPBOOK_JOINED

// Exact by definition: the international yard and pound (1959), standard gravity (CGPM 1901).
inline constexpr long double kInchM = 0.0254L;
inline constexpr long double kFootM = 0.3048L;
inline constexpr long double kGravity = 9.80665L;
inline constexpr long double kPoundN = 0.45359237L * kGravity;
inline constexpr long double kOunceN = kPoundN / 16;
inline constexpr long double kPsi = kPoundN / (kInchM * kInchM);
inline constexpr long double kPi = std::numbers::pi_v<long double>;

using enum Dimension;

inline constexpr std::array kUnits{
    Unit{"N·m", "Nm", torque, 1, 0, false, kNewtonMetre},
    Unit{"ft·lbf", "ft-lb", torque, kFootM* kPoundN, 0, true, kFootPound},
    Unit{"in·lbf", "in-lb", torque, kInchM* kPoundN, 0, true, kInchPound},
    Unit{"in·ozf", "in-oz", torque, kInchM* kOunceN, 0, true, kInchOunce},
    Unit{"kgf·m", "kgf-m", torque, kGravity, 0, false, kKilogramMetre},
    Unit{"kgf·cm", "kgf-cm", torque, 0.0980665L, 0, false, kKilogramCentimetre},
    Unit{"cN·m", "cNm", torque, 0.01L, 0, false, kCentinewtonMetre},
    Unit{"daN·m", "daNm", torque, 10, 0, false, kDecanewtonMetre},
    Unit{"N", "N", force, 1},
    Unit{"kN", "kN", force, 1000},
    Unit{"lbf", "lbf", force, kPoundN, 0, true},
    Unit{"kgf", "kgf", force, kGravity},
    Unit{"ozf", "ozf", force, kOunceN, 0, true},
    Unit{"kip", "kip", force, 1000 * kPoundN, 0, true},
    Unit{"mm", "mm", length, 1e-3L},
    Unit{"cm", "cm", length, 1e-2L},
    Unit{"m", "m", length, 1},
    Unit{"µm", "um", length, 1e-6L},
    Unit{"in", "in", length, kInchM, 0, true},
    Unit{"ft", "ft", length, kFootM, 0, true},
    Unit{"thou", "thou", length, 0.0000254L, 0, true, kThou},
    Unit{"Pa", "Pa", stress, 1},
    Unit{"MPa", "MPa", stress, 1e6L, 0, false, kMegapascal},
    Unit{"GPa", "GPa", stress, 1e9L},
    Unit{"psi", "psi", stress, kPsi, 0, true},
    Unit{"ksi", "ksi", stress, 1e3L * kPsi, 0, true},
    Unit{"Mpsi", "Mpsi", stress, 1e6L * kPsi, 0, true},
    Unit{"N/mm", "N/mm", stiffness, 1000},
    Unit{"lbf/in", "lbf/in", stiffness, kPoundN / kInchM, 0, true},
    Unit{"°", "deg", angle, kPi / 180, 0, false, kDegree},
    Unit{"rad", "rad", angle, 1},
    Unit{"turn", "turn", angle, 2 * kPi},
    Unit{"flat", "flat", angle, kPi / 3},
    Unit{"s", "s", time, 1},
    Unit{"min", "min", time, 60},
    Unit{"h", "h", time, 3600},
    Unit{"°C", "degC", temperature, 1, 273.15L},
    Unit{"°F", "degF", temperature, 5 / 9.0L, 459.67L, true},
    Unit{"%", "%", ratio, 0.01L},
};

inline constexpr Unit kOne{"", "", ratio, 1};

/// The row of that canonical spelling; does not compile for a word that has none.
consteval const Unit& row(std::string_view spelling) {
  for (const Unit& unit : kUnits)
    if (unit.spelling == spelling) return unit;
  throw "no unit is spelled so";
}

}  // namespace clampbook::units::table
