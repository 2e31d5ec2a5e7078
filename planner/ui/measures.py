"""Measures: how the window shows lengths, forces, angles and places, and how it reads what a person types.

Inside the program everything is SI; this is the edge. Whatever units are shown, any unit may be typed behind a number.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Literal

from planner.errors import OutOfRange
from planner.jobpack.page.measures import ACRE_M2, MINUS, NO_BREAK, grouped
from planner.units import (
    CHAIN_M,
    FOOT_M,
    HECTARE_M2,
    INCH_M,
    KGF_N,
    LINK_M,
    POUND_FORCE_N,
    Degree,
    Metre,
    Newton,
    SquareMetre,
)

System = Literal["metric", "imperial", "chains"]
Coordinates = Literal["grid", "degrees", "dms"]

LENGTHS: Mapping[str, float] = MappingProxyType({
    "mm": 0.001, "cm": 0.01, "m": 1.0, "metre": 1.0, "metres": 1.0, "km": 1000.0,
    "in": INCH_M, '"': INCH_M, "inch": INCH_M, "inches": INCH_M,
    "ft": FOOT_M, "'": FOOT_M, "foot": FOOT_M, "feet": FOOT_M, "yd": 3 * FOOT_M, "mi": 5280 * FOOT_M,
    "ch": CHAIN_M, "chain": CHAIN_M, "chains": CHAIN_M, "lk": LINK_M, "link": LINK_M, "links": LINK_M,
})
"""What may be typed behind a length, and its metres."""
FORCES: Mapping[str, float] = MappingProxyType({
    "n": 1.0, "kn": 1000.0, "kgf": KGF_N, "kg": KGF_N, "lbf": POUND_FORCE_N, "lb": POUND_FORCE_N})
"""What may be typed behind a force, and its newtons."""
_OWN_UNIT: Mapping[str, str] = MappingProxyType({"metric": "m", "imperial": "ft", "chains": "ch"})
_PART = re.compile(r"([-+]?\d[\d\s ]*(?:[.,]\d+)?|[-+]?[.,]\d+)\s*([a-z'\"]*)", re.IGNORECASE)
_BEARING = re.compile(r"^([ns])?\s*(\d+(?:\.\d+)?)\s*[°d\s]?\s*(?:(\d+(?:\.\d+)?)\s*['′m\s]?\s*)?"
                      r"(?:(\d+(?:\.\d+)?)\s*[\"″s]?)?\s*([ew])?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Measures:
    """Shows and reads measured values.

    Attributes:
        system: Units of lengths and forces: metric; imperial; or chains for lengths, with metric forces.
        coordinates: How a place is written: grid metres, decimal degrees, or degrees, minutes and seconds.
    """

    system: System = "metric"
    coordinates: Coordinates = "grid"

    @property
    def unit(self) -> str:
        """Unit of lengths: m, ft or ch."""
        return _OWN_UNIT[self.system]

    @property
    def unit_m(self) -> Metre:
        """Metres in that unit. [m]"""
        return LENGTHS[self.unit]

    @property
    def force_unit(self) -> str:
        """Unit of forces: kN or lbf."""
        return "lbf" if self.system == "imperial" else "kN"

    def figure(self, metres: Metre, decimals: int = 1) -> str:
        """A length without its unit, for columns.

        Args:
            metres: Length. [m]
            decimals: Decimals in metres; one less in feet, two more in chains, where the second decimal is the link.

        Example:
            >>> Measures("chains").figure(20.1168), Measures("imperial").figure(304.8)
            ('1.000', '1\u202f000')
        """
        if self.system == "imperial":
            return grouped(metres / FOOT_M, max(0, decimals - 1))
        if self.system == "chains":
            return grouped(metres / CHAIN_M, decimals + 2)
        return grouped(metres, decimals)

    def length(self, metres: Metre, decimals: int = 1) -> str:
        """A length with its unit; from ten kilometres (or six miles) on in the larger unit where no decimal is asked.

        Args:
            metres: Length. [m]
            decimals: Decimals in metres.

        Example:
            >>> Measures().length(1411.94), Measures().length(12345.0, 0)
            ('1\u202f411.9\xa0m', '12.35\xa0km')
        """
        if decimals == 0 and self.system == "metric" and abs(metres) >= 10_000.0:
            return f"{grouped(metres / 1000.0, 2)}{NO_BREAK}km"
        if decimals == 0 and self.system == "imperial" and abs(metres) >= 6 * 5280 * FOOT_M:
            return f"{grouped(metres / (5280 * FOOT_M), 2)}{NO_BREAK}mi"
        return f"{self.figure(metres, decimals)}{NO_BREAK}{self.unit}"

    def small(self, metres: Metre) -> str:
        """A length of a part of a fence, in millimetres or inches.

        Args:
            metres: Length. [m]
        """
        if self.system == "imperial":
            return f"{grouped(metres / INCH_M, 1)}{NO_BREAK}in"
        return f"{grouped(metres * 1000.0, 0)}{NO_BREAK}mm"

    def force(self, newtons: Newton, decimals: int = 2) -> str:
        """A force with its unit.

        Args:
            newtons: Force. [N]
            decimals: Decimals in kilonewtons; pounds-force have none.
        """
        if self.system == "imperial":
            return f"{grouped(newtons / POUND_FORCE_N, 0)}{NO_BREAK}lbf"
        return f"{grouped(newtons / 1000.0, decimals)}{NO_BREAK}kN"

    def area(self, square_metres: SquareMetre) -> str:
        """An area with its unit, hectares or acres.

        Args:
            square_metres: Area. [m2]
        """
        if self.system == "metric":
            return f"{grouped(square_metres / HECTARE_M2, 2)}{NO_BREAK}ha"
        return f"{grouped(square_metres / ACRE_M2, 2)}{NO_BREAK}ac"

    def angle(self, degrees: Degree, decimals: int = 1) -> str:
        """An angle with its sign.

        Args:
            degrees: Angle. [deg]
            decimals: Decimals.
        """
        return f"{grouped(degrees, decimals)}°"

    def bearing(self, degrees: Degree) -> str:
        """A bearing, in decimal degrees or in degrees, minutes and seconds as the coordinates are.

        Args:
            degrees: Clockwise from grid north. [deg]
        """
        return dms(degrees % 360.0, 0) if self.coordinates == "dms" else f"{degrees % 360.0:.2f}°"

    def place(self, x: Metre, y: Metre, crs: str) -> tuple[str, str]:
        """A place in the two texts of the chosen display; in grid metres where the grid is not known.

        Args:
            x: East. [m]
            y: North. [m]
            crs: Working grid; empty when there is none yet.
        """
        if self.coordinates == "grid" or not crs:
            return f"E {grouped(x, 1)}", f"N {grouped(y, 1)}"
        import numpy as np

        from planner.survey.datum import to_lonlat

        lon, lat = map(float, to_lonlat(np.array([[x, y]]), crs)[0])
        north, east = ((dms(abs(lat), 2), dms(abs(lon), 2)) if self.coordinates == "dms"
                       else (f"{abs(lat):.7f}°", f"{abs(lon):.7f}°"))
        return f"{north} {'S' if lat < 0 else 'N'}", f"{east} {'W' if lon < 0 else 'E'}"

    def parse_length(self, text: str) -> Metre:
        """The metres of what was typed; a bare number is in the unit shown, and parts add up: ``12 ft 6 in``.

        Args:
            text: A number, or numbers with units.

        Raises:
            OutOfRange: It is no length.

        Example:
            >>> Measures().parse_length("5 ch 20 lk"), Measures("imperial").parse_length("10")
            (104.60736, 3.048)
        """
        return _sum_of(text, LENGTHS, self.unit, "length", "a number, or a number with a unit such as 12.5 m or 40 ft")

    def parse_force(self, text: str) -> Newton:
        """The newtons of what was typed; a bare number is in the unit shown.

        Args:
            text: A number, or a number with a unit.

        Raises:
            OutOfRange: It is no force.
        """
        return _sum_of(text, FORCES, self.force_unit.lower(), "force", "a number, or one with a unit such as 110 kgf")


def dms(degrees: Degree, decimals: int = 0) -> str:
    """Degrees, minutes and seconds.

    Args:
        degrees: Angle. [deg]
        decimals: Decimals of the seconds.

    Example:
        >>> dms(37.95103341, 4)
        '37°57′03.7203″'
    """
    step = 10**decimals
    total = round(abs(degrees) * 3600 * step)
    whole, rest = divmod(total, 3600 * step)
    minutes, seconds = divmod(rest, 60 * step)
    width = 2 + (decimals + 1 if decimals else 0)
    sign = MINUS if degrees < 0 and total else ""
    return f"{sign}{whole}°{minutes:02d}′{seconds / step:0{width}.{decimals}f}″"


def parse_bearing(text: str) -> Degree:
    """The bearing of what was typed: ``123.5``, ``123 30 15``, ``N 45 30 E``. [deg]

    Args:
        text: Whole-circle or quadrant bearing, in decimal degrees or degrees, minutes and seconds.

    Raises:
        OutOfRange: It is no bearing.

    Example:
        >>> parse_bearing("S 30 15 W"), parse_bearing("123°30′")
        (210.25, 123.5)
    """
    found = _BEARING.match(text.strip().replace(",", "."))
    if found is None:
        raise OutOfRange(f"'{text}' is no bearing", remedy="type degrees, as 123.5 or 123 30 15, or N 45 E")
    quadrant, last = (found[1] or "").lower(), (found[5] or "").lower()
    minutes, seconds = float(found[3] or 0), float(found[4] or 0)
    angle = float(found[2]) + minutes / 60.0 + seconds / 3600.0
    if bool(quadrant) != bool(last) or minutes >= 60.0 or seconds >= 60.0 or angle > (90.0 if quadrant else 360.0):
        raise OutOfRange(f"'{text}' is no bearing", remedy="type degrees, as 123.5 or 123 30 15, or N 45 E")
    if quadrant:
        angle = {"ne": angle, "se": 180.0 - angle, "sw": 180.0 + angle, "nw": 360.0 - angle}[quadrant + last]
    return angle % 360.0


def money(amount: Decimal, currency: str) -> str:
    """An amount of money in whole units, as a headline shows it.

    Args:
        amount: Amount.
        currency: ISO 4217 code.
    """
    return f"{currency}{NO_BREAK}{grouped(float(amount), 0)}"


def count(number: int, thing: str, things: str = "") -> str:
    """A number of things, in the right grammatical number.

    Args:
        number: How many.
        thing: Word for one.
        things: Word for several; ``thing`` with an s when empty.

    Example:
        >>> count(1, "strain"), count(38, "strain")
        ('1 strain', '38 strains')
    """
    return f"{grouped(number, 0)} {thing if number == 1 else things or thing + 's'}"


def _sum_of(text: str, units: Mapping[str, float], own: str, what: str, how: str) -> float:
    rest, total, seen = text.strip(), 0.0, False
    while rest:
        found = _PART.match(rest)
        unit = (found[2].lower() or own) if found else ""
        if found is None or unit not in units:
            raise OutOfRange(f"'{text}' is no {what}", remedy=f"type {how}")
        if re.search(r",\d{3}$", found[1]):
            raise OutOfRange(f"'{text}' can be read in two ways", remedy="leave the comma out, or write a point for it")
        number = float(re.sub(r"[\s ]", "", found[1]).replace(",", "."))
        total, seen, rest = total + number * units[unit], True, rest[found.end():].strip()
    if not seen or not math.isfinite(total):
        raise OutOfRange(f"nothing was typed where a {what} is wanted", remedy=f"type {how}")
    return total
