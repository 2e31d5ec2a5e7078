"""Units: SI inside; these are the only conversion factors in the program.

A value in another unit appears only at an edge (a screen, a sheet, a file) and says so in its name.

Source:
    International yard and pound agreement 1959 (foot, pound); standard gravity 9.80665 m/s2 (CGPM 1901);
    US survey foot 1200/3937 m (withdrawn 2022, still found in old plans).
"""

from __future__ import annotations

import math
from typing import TypeAlias

Metre: TypeAlias = float
SquareMetre: TypeAlias = float
Newton: TypeAlias = float
Pascal: TypeAlias = float
Kilogram: TypeAlias = float
Second: TypeAlias = float
Hour: TypeAlias = float
Kelvin: TypeAlias = float
Radian: TypeAlias = float
Degree: TypeAlias = float

GRAVITY_M_S2 = 9.80665
KGF_N = GRAVITY_M_S2
FOOT_M = 0.3048
INCH_M = 0.0254
US_SURVEY_FOOT_M = 1200.0 / 3937.0
CHAIN_M = 20.1168
LINK_M = CHAIN_M / 100.0
POUND_KG = 0.45359237
POUND_FORCE_N = POUND_KG * GRAVITY_M_S2
PSI_PA = POUND_FORCE_N / INCH_M**2
PSF_PA = POUND_FORCE_N / FOOT_M**2
HECTARE_M2 = 10_000.0
STEEL_DENSITY_KG_M3 = 7850.0


def kgf(newtons: Newton) -> float:
    """A force in kilograms-force, as hands and spring balances read it. [kgf]

    Args:
        newtons: Force. [N]

    Example:
        >>> round(kgf(1078.7315), 3)
        110.0
    """
    return newtons / KGF_N


def degrees(radians: Radian) -> Degree:
    """An angle for a person to read. [deg]

    Args:
        radians: Angle. [rad]
    """
    return math.degrees(radians)
