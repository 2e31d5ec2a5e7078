"""How deep a post must stand against being pushed over: a building rule, for comparing depths and soils only.

The rule is for free poles. It asks 1.5 to 4 times the depth that fences are built with, and a braced end fails by being
lifted, not pushed over. Never take its depth as a pass or a fail of a normal fence. Engineers of post and pole
foundations besides divide by a safety factor of 2.5 (small movements harmless) to 3.0, and trust no organic silt, soft
clay or peat at all.

Source:
    International Building Code 2012, 1806 and 1807.3.2; safety factors: ASAE EP486 (Dec 1998).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.errors import OutOfRange
from planner.sources import Source
from planner.units import FOOT_M, PSF_PA, Metre, Newton, Pascal

IBC_DEPTH_CAP_M: Metre = 12.0 * FOOT_M
POLE_CAUTION = (
    "For comparing depths and soils only: this building rule for free poles asks 1.5 to 4 times the depth that fences "
    "are built with, so it neither passes nor fails a fence post.")
EP486_SAFETY_FACTORS = (2.5, 3.0)
EP486_SOURCE = Source("ASAE EP486", "Dec 1998", "2.5 where small movements are harmless, up to 3.0")
_TABLE = Source("International Building Code", "2012", "Table 1806.2")


@dataclass(frozen=True, slots=True)
class Soil:
    """Presumed strength of one class of soil. Mud, organic silt, peat and loose fill have none.

    Attributes:
        key: Short readable key, such as ``clay``.
        description: What to call it.
        lateral_pa_per_m: Bearing sideways for each metre of depth. [Pa/m]
        vertical_pa: Bearing downwards. [Pa]
        source: Where both come from.
    """

    key: str
    description: str
    lateral_pa_per_m: float
    vertical_pa: Pascal
    source: Source


def _soil(key: str, description: str, *, psf_per_ft: float, psf: float) -> Soil:
    return Soil(key, description, psf_per_ft * PSF_PA / FOOT_M, psf * PSF_PA, _TABLE)


SOILS: tuple[Soil, ...] = (
    _soil("bedrock", "crystalline bedrock", psf_per_ft=1200, psf=12_000),
    _soil("soft-rock", "sedimentary or foliated rock", psf_per_ft=400, psf=4000),
    _soil("gravel", "sandy gravel, gravel", psf_per_ft=200, psf=3000),
    _soil("sand", "sand, silty or clayey sand, silty gravel", psf_per_ft=150, psf=2000),
    _soil("clay", "clay, silt, sandy or silty clay", psf_per_ft=100, psf=1500),
)


def bearing_at(
    depth_m: Metre, *, soil_pa_per_m: float, factor: float = 1.0, cap_m: Metre | None = IBC_DEPTH_CAP_M,
) -> Pascal:
    """Sideways bearing of the soil at a depth.

    Args:
        depth_m: Depth. [m]
        soil_pa_per_m: Bearing for each metre of depth. [Pa/m]
        factor: Increase; 2 is allowed for isolated poles not harmed by 12 mm of movement at the ground, 4/3 for wind.
        cap_m: Depth below which bearing grows no more; None for none. [m]

    Returns:
        Bearing. [Pa]

    Source:
        International Building Code 2012, 1806.2, 1806.3.4, 1807.3.2. Checked in tests/validation/test_ibc_poles.py.
    """
    return factor * soil_pa_per_m * (depth_m if cap_m is None else min(depth_m, cap_m))


def pole_constant(load_n: Newton, *, width_m: Metre, bearing_pa: Pascal) -> Metre:
    """The length A = 2.34 P / (S1 b) of the pole formula.

    Args:
        load_n: Sideways load. [N]
        width_m: Width of the pole, or the diagonal of a square one. [m]
        bearing_pa: Bearing S1 at a third of the depth: a pressure, already multiplied by that depth. [Pa]

    Returns:
        A. [m]

    Source:
        International Building Code 2012, 1807.3.2.1. Checked in tests/validation/test_ibc_poles.py.
    """
    return 2.34 * load_n / (bearing_pa * width_m)


def free_pole_depth(
    load_n: Newton, *, height_m: Metre, width_m: Metre, soil_pa_per_m: float, factor: float = 1.0,
    cap_m: Metre | None = IBC_DEPTH_CAP_M,
) -> Metre:
    """Depth of a pole that nothing holds at the ground, iterated until the depth it assumes is the depth it gives.

    For comparing only, see the head of this module.

    Args:
        load_n: Sideways load. [N] Above zero.
        height_m: Height above the ground at which it acts. [m] Zero or more.
        width_m: Width of the pole, or the diagonal of a square one. [m]
        soil_pa_per_m: Bearing of the soil for each metre of depth. [Pa/m]
        factor: Increase of the bearing.
        cap_m: Depth below which bearing grows no more; None for none. [m]

    Returns:
        Depth. [m]

    Raises:
        OutOfRange: A value is not above zero.

    Source:
        International Building Code 2012, 1807.3.2.1: d = A/2 (1 + sqrt(1 + 4.36 h / A)), S1 at d/3. Checked in
        tests/validation/test_ibc_poles.py.

    Example:
        >>> round(free_pole_depth(1330.0, height_m=8.0, width_m=0.849, soil_pa_per_m=31_400.0), 2)
        1.53
    """
    _must_be_positive(load_n, height_m, width_m, factor * soil_pa_per_m)
    depth = 1.0
    while True:
        limited = depth if cap_m is None else min(depth, cap_m)
        bearing = bearing_at(limited / 3.0, soil_pa_per_m=soil_pa_per_m, factor=factor, cap_m=None)
        constant = pole_constant(load_n, width_m=width_m, bearing_pa=bearing)
        given = constant / 2.0 * (1.0 + math.sqrt(1.0 + 4.36 * height_m / constant))
        # the geometric mean damps the swing: for a load at the ground the plain iteration never settles
        following = math.sqrt(depth * given)
        if abs(following - depth) <= 1e-12 * depth:
            return following
        depth = following


def held_pole_depth(
    load_n: Newton, *, height_m: Metre, width_m: Metre, soil_pa_per_m: float, factor: float = 1.0,
    cap_m: Metre | None = IBC_DEPTH_CAP_M,
) -> Metre:
    """Depth of a pole that is held at the ground, as by a floor.

    For comparing only, see the head of this module.

    Args:
        load_n: Sideways load. [N] Above zero.
        height_m: Height above the ground at which it acts. [m] Zero or more.
        width_m: Width of the pole, or the diagonal of a square one. [m]
        soil_pa_per_m: Bearing of the soil for each metre of depth. [Pa/m]
        factor: Increase of the bearing.
        cap_m: Depth below which bearing grows no more; None for none. [m]

    Returns:
        Depth. [m]

    Raises:
        OutOfRange: A value is not above zero.

    Source:
        International Building Code 2012, 1807.3.2.2: d^2 = 4.25 P h / (S3 b), S3 at d. Checked in
        tests/validation/test_ibc_poles.py.
    """
    _must_be_positive(load_n, height_m, width_m, factor * soil_pa_per_m)
    moment = 4.25 * load_n * height_m / (factor * soil_pa_per_m * width_m)
    depth = moment ** (1.0 / 3.0)
    return depth if cap_m is None or depth <= cap_m else math.sqrt(moment / cap_m)


def relative_capacity(
    depth_m: Metre, *, than_depth_m: Metre, height_m: Metre, soil_pa_per_m: float = 1.0,
    than_soil_pa_per_m: float = 1.0, width_m: Metre = 1.0, than_width_m: Metre = 1.0,
) -> float:
    """How many times the sideways load one post carries that another carries: never how much either carries.

    For comparing only, see the head of this module. A braced end gains more than this from depth: tests found its load
    more than doubled by 150 mm, where this gives 1.4 to 1.6.

    Args:
        depth_m: Depth of the one. [m]
        than_depth_m: Depth of the other. [m]
        height_m: Height above the ground at which the load acts. [m]
        soil_pa_per_m: Soil of the one: bearing for each metre of depth. [Pa/m]
        than_soil_pa_per_m: Soil of the other. [Pa/m]
        width_m: Width of the one. [m]
        than_width_m: Width of the other. [m]

    Returns:
        Capacity of the one over that of the other.

    Raises:
        OutOfRange: A value is not above zero.

    Source:
        The free pole formula of the International Building Code 2012, 1807.3.2.1, solved for the load:
        P = S1 b d^2 / (2.34 (d + 1.09 h)). Checked in tests/validation/test_ibc_poles.py.

    Example:
        >>> round(relative_capacity(0.90, than_depth_m=0.75, height_m=0.6), 2)
        1.56
    """
    _must_be_positive(depth_m, height_m, width_m, soil_pa_per_m)
    _must_be_positive(than_depth_m, height_m, than_width_m, than_soil_pa_per_m)

    def carried(depth: Metre, soil: float, width: Metre) -> float:
        limited = min(depth, IBC_DEPTH_CAP_M)
        return soil * limited * width * depth**2 / (depth + 1.09 * height_m)

    return carried(depth_m, soil_pa_per_m, width_m) / carried(than_depth_m, than_soil_pa_per_m, than_width_m)


def _must_be_positive(load: float, height_m: Metre, width_m: Metre, soil_pa_per_m: float) -> None:
    given = (load, height_m, width_m, soil_pa_per_m)
    if not all(map(math.isfinite, given)) or min(load, width_m, soil_pa_per_m) <= 0.0 or height_m < 0.0:
        raise OutOfRange("the pole formula needs a load or depth, a width and a soil above zero, a height not below",
                         where=", ".join(f"{value:g}" for value in given), remedy="correct these values")
