"""Bearings and angles: degrees, minutes and seconds, quadrants, and the packed form of survey lists.

Source:
    Whole-circle bearings run clockwise from north; quadrant bearings from north or south towards east or west.
    Checked against the printed traverses in tests/validation/test_mahun_bearings.py.
"""

from __future__ import annotations

import re

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.units import Degree, Metre

_NUMBER = r"\d+(?:[.,]\d+)?"
_APART = r"\s*[°º˚d:\s-]\s*"
_ANGLE = re.compile(
    rf"(?P<sign>[-+−])?\s*(?P<d>{_NUMBER})"
    rf"(?:{_APART}(?:(?P<m>{_NUMBER})(?:\s*['′’m:\s-]\s*(?:(?P<s>{_NUMBER})\s*(?:\"|″|”|''|′′|’’|s)?)?)?)?)?",
    re.IGNORECASE)
_QUADRANT = re.compile(r"(?P<from>[NS])\s*(?P<angle>[^NSEW]*?)\s*(?P<to>[EW])", re.IGNORECASE)
_DUE = {"N": 0.0, "E": 90.0, "S": 180.0, "W": 270.0}
_POINTS = ("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw")
_SIDES = {"north": "n", "east": "e", "south": "s", "west": "w"}


def parse_angle(text: str) -> Degree:
    """An angle as people write it: ``92°14'20"``, ``92 14 20``, ``92-14-20``, ``92:14:20``, ``92.2389``. [deg]

    Args:
        text: The angle; a sign may stand in front; seconds, or minutes and seconds, may be left out; a decimal comma
            is taken.

    Raises:
        OutOfRange: It is no angle, or its minutes or seconds reach 60, or a part before the last has a fraction.

    Example:
        >>> round(parse_angle("92°14'20\\""), 6)
        92.238889
    """
    found = _ANGLE.fullmatch(text.strip())
    if found is None:
        raise OutOfRange("this is no angle", where=f"'{text}'", remedy="""write it like 92°14'20" or 92-14-20""")
    written = [found[part] for part in "dms" if found[part] is not None]
    if any("." in part or "," in part for part in written[:-1]):
        raise OutOfRange("only the last part of an angle may have decimals", where=f"'{text}'",
                         remedy="write degrees and minutes as whole numbers")
    degrees, minutes, seconds = ([float(part.replace(",", ".")) for part in written] + [0.0, 0.0])[:3]
    if minutes >= 60.0 or seconds >= 60.0:
        raise OutOfRange("minutes and seconds stay below 60", where=f"'{text}'", remedy="check the figures")
    value = degrees + minutes / 60.0 + seconds / 3600.0
    return -value if found["sign"] in ("-", "−") else value


def parse_bearing(text: str) -> Degree:
    """A bearing clockwise from north, from a whole-circle or a quadrant text. [deg] 0 up to, not including, 360.

    Args:
        text: ``248°05'35"``, ``S68°05'35"W``, ``N 45-55-20 E``, or a bare ``N``, ``E``, ``S``, ``W``.

    Raises:
        OutOfRange: It is no bearing, a whole-circle one lies outside 0 to 360, or a quadrant one outside 0 to 90.

    Example:
        >>> round(parse_bearing("S68°05'35\\"W"), 6)
        248.093056
    """
    plain = text.strip()
    if plain.upper() in _DUE:
        return _DUE[plain.upper()]
    quadrant = _QUADRANT.fullmatch(plain)
    if quadrant is None:
        value = parse_angle(plain)
        if not 0.0 <= value <= 360.0:
            raise OutOfRange("a bearing runs from 0 to 360", where=f"'{text}'", remedy="check the degrees")
        return whole_circle(value)
    angle = parse_angle(quadrant["angle"])
    if not 0.0 <= angle <= 90.0:
        raise OutOfRange("a quadrant bearing runs from 0 to 90", where=f"'{text}'", remedy="check the degrees")
    north, east = quadrant["from"].upper() == "N", quadrant["to"].upper() == "E"
    if north:
        return whole_circle(angle if east else -angle)
    return 180.0 - angle if east else 180.0 + angle


def parse_direction(text: str) -> Degree:
    """Where something looks or runs: a bearing, or one of the sixteen points of the compass. [deg] 0 up to 360.

    Where a bearing has to be exact, as along a boundary, ``parse_bearing`` reads it: there NE is one without its angle.

    Args:
        text: ``NE``, ``south-west``, ``north north east``, or a bearing.

    Raises:
        OutOfRange: It is neither.

    Example:
        >>> parse_direction("NNE"), parse_direction("South-West"), parse_direction("N 45 E")
        (22.5, 225.0, 45.0)
    """
    bare = re.sub(r"[\s.-]", "", text.lower())
    for word, letter in _SIDES.items():
        bare = bare.replace(word, letter)
    return _POINTS.index(bare) * 22.5 if bare in _POINTS else parse_bearing(text)


def format_angle(degrees: Degree, *, decimals: int = 0) -> str:
    """An angle as degrees, minutes and seconds.

    Args:
        degrees: Angle. [deg]
        decimals: Decimals of the seconds.

    Example:
        >>> format_angle(92.238889)
        '92°14\\'20"'
        >>> format_angle(-1.0)
        '-1°00\\'00"'
    """
    steps = round(abs(degrees) * 3600 * 10**decimals)
    whole, rest = divmod(steps, 10**decimals)
    minutes, seconds = divmod(whole, 60)
    fraction = f".{rest:0{decimals}d}" if decimals else ""
    sign = "-" if degrees < 0 and steps else ""
    return f"{sign}{minutes // 60}°{minutes % 60:02d}'{seconds:02d}{fraction}\""


def format_bearing(degrees: Degree, *, decimals: int = 0) -> str:
    """A whole-circle bearing as degrees, minutes and seconds, never 360°.

    Args:
        degrees: Bearing, any turn of the circle. [deg]
        decimals: Decimals of the seconds.

    Example:
        >>> format_bearing(359.99999)
        '0°00\\'00"'
    """
    step = 3600 * 10**decimals
    return format_angle(round(whole_circle(degrees) * step) % (360 * step) / step, decimals=decimals)


def whole_circle(degrees: Degree) -> Degree:
    """The same direction between 0 and 360, 360 itself becoming 0. [deg]

    Args:
        degrees: Any angle. [deg]

    Example:
        >>> whole_circle(-19.0)
        341.0
    """
    turned = degrees % 360.0
    return 0.0 if turned == 360.0 else turned


def bearing_of(east: Metre, north: Metre) -> Degree:
    """Bearing of a step, clockwise from grid north. [deg] 0 up to, not including, 360.

    Args:
        east: Step east. [m]
        north: Step north. [m]

    Raises:
        OutOfRange: The step has no length.

    Example:
        >>> bearing_of(1.0, -1.0)
        135.0
    """
    if east == 0.0 and north == 0.0:
        raise OutOfRange("a step without length has no bearing", remedy="give two different positions")
    return whole_circle(float(np.degrees(np.arctan2(east, north))))


def bearings_of(xy: Floats) -> Floats:
    """Bearing of each leg of a line. [deg] Shape (n - 1,). A leg without length gives NaN.

    Args:
        xy: Corners. [m] Shape (n, 2).
    """
    step = np.diff(xy[:, :2], axis=0)
    turned = np.remainder(np.degrees(np.arctan2(step[:, 0], step[:, 1])), 360.0)
    turned[turned == 360.0] = 0.0
    turned[(step == 0.0).all(axis=1)] = np.nan
    return turned


def step_along(bearing: Degree, distance: Metre) -> tuple[Metre, Metre]:
    """Step east and north of a leg. [m]

    Args:
        bearing: Clockwise from north. [deg]
        distance: Plan length. [m]

    Example:
        >>> [round(part, 3) for part in step_along(248.0930556, 472.68)]
        [-438.548, -176.357]
    """
    angle = np.radians(bearing)
    return float(distance * np.sin(angle)), float(distance * np.cos(angle))


def from_packed(packed: Floats) -> Floats:
    """Angles from the packed form DDD.MMSSsss, in which 37.57037203 means 37°57'03.7203". [deg]

    Args:
        packed: Packed angles, any shape; the sign holds for the whole angle.

    Raises:
        OutOfRange: Minutes or seconds of some value reach 60, so the numbers are not packed angles.

    Source:
        The form in which survey calculators and station lists keep angles. Checked in
        tests/validation/test_gnss_stations.py.
    """
    degrees, minutes, seconds = _parts(packed)
    wrong = (minutes >= 60) | (seconds >= 60.0)
    if wrong.any():
        value = float(np.asarray(packed)[wrong].flat[0])
        raise OutOfRange("minutes and seconds of a packed angle stay below 60", where=f"{value:.9f}",
                         remedy="read the numbers as decimal degrees")
    angle: Floats = np.copysign(degrees + minutes / 60.0 + seconds / 3600.0, packed)
    return angle


def to_packed(degrees: Floats) -> Floats:
    """Angles in the packed form DDD.MMSSsss, rounded to 1e-5 of a second (0.3 mm on the ground).

    Args:
        degrees: Angles, any shape. [deg]
    """
    steps = np.rint(np.abs(np.asarray(degrees, dtype=float)) * 3.6e8)
    whole, seconds = np.divmod(steps, 6e6)
    size = np.floor(whole / 60.0) + np.remainder(whole, 60.0) / 100.0 + seconds / 1e9
    packed: Floats = np.copysign(size, degrees)
    return packed


def could_be_packed(values: Floats) -> bool:
    """True when every value would be a packed angle, so that decimal degrees deserve the question.

    Decimal degrees pass by chance with 0.36 to the power of their number; whole numbers say nothing and are left out.

    Args:
        values: A column of latitudes or longitudes, shape (n,); values that are not finite are left out.
    """
    told = values[np.isfinite(values) & (values != np.rint(values))]
    if len(told) == 0:
        return False
    _, minutes, seconds = _parts(told)
    return bool((minutes < 60).all() and (seconds < 60.0).all())


def _parts(packed: Floats) -> tuple[Floats, Floats, Floats]:
    """Degrees, minutes, seconds; through whole 1e-9 steps, so that 0.30 is 30 minutes and not 29 and 100 seconds."""
    steps = np.rint(np.abs(np.asarray(packed, dtype=float)) * 1e9)
    degrees, rest = np.divmod(steps, 1e9)
    minutes, rest = np.divmod(rest, 1e7)
    return degrees, minutes, rest / 1e5
