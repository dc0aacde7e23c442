"""Writes units_exact.csv: conversions rounded once from exact fractions, to judge those made in floating point.

Run by hand after a unit is added: python3 tests/reference/units_exact.py > tests/reference/units_exact.csv
The definitions stand here a second time on purpose. Sources: international yard and pound (1959), standard
gravity (CGPM 1901), as in NIST SP 811 (2008), appendix B.
"""

import random
from fractions import Fraction as F

PI = F("3.14159265358979323846264338327950288419716939937510582097494459230781640628620899")
INCH, FOOT, POUND, GRAVITY = F("0.0254"), F("0.3048"), F("0.45359237"), F("9.80665")
LBF = POUND * GRAVITY
PSI = LBF / INCH**2

UNITS = {
    "torque": {"N·m": F(1), "ft·lbf": FOOT * LBF, "in·lbf": INCH * LBF, "in·ozf": INCH * LBF / 16,
               "kgf·m": GRAVITY, "kgf·cm": GRAVITY / 100, "cN·m": F(1, 100), "daN·m": F(10)},
    "force": {"N": F(1), "kN": F(1000), "lbf": LBF, "kgf": GRAVITY, "ozf": LBF / 16, "kip": 1000 * LBF},
    "length": {"mm": F(1, 1000), "cm": F(1, 100), "m": F(1), "µm": F(1, 10**6), "in": INCH, "ft": FOOT,
               "thou": INCH / 1000},
    "stress": {"Pa": F(1), "MPa": F(10**6), "GPa": F(10**9), "psi": PSI, "ksi": 1000 * PSI, "Mpsi": 10**6 * PSI},
    "stiffness": {"N/mm": F(1000), "lbf/in": LBF / INCH},
    "angle": {"°": PI / 180, "rad": F(1), "turn": 2 * PI, "flat": PI / 3},
    "time": {"s": F(1), "min": F(60), "h": F(3600)},
}


def rows():
    chance = random.Random(20260504)
    for units in UNITS.values():
        for start, start_factor in units.items():
            for end, end_factor in units.items():
                if start != end:
                    far = -chance.uniform(1, 10) * 10.0 ** chance.randint(-200, 200)
                    for value in (1.0, chance.uniform(0.01, 1000), far):
                        yield value, start, end, float(F(value) * start_factor / end_factor)
    for value in (0.0, 20.0, 100.0, -40.0, 37.5, -17.777777777777779, 31.999999999999996, 1e-20, 1e20):
        yield value, "°C", "°F", float(F(value) * 9 / 5 + 32)
        yield value, "°F", "°C", float((F(value) - 32) * 5 / 9)


if __name__ == "__main__":
    print("value,from,to,result")
    for row in rows():
        print(",".join(map(str, row)))
