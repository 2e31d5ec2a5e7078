"""Measures: how lengths, forces and the rest are written on sheets, metric or imperial. The only place that does."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from planner.units import FOOT_M, INCH_M, KGF_N, POUND_FORCE_N, POUND_KG, Kilogram, Metre, Newton, SquareMetre

Units = Literal["metric", "imperial"]
ACRE_M2 = 43_560.0 * FOOT_M**2
NO_BREAK = "\u00a0"
MINUS = "−"
_METRES = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) m\b(?! roll)")
_MILLIMETRES = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) mm\b")
_KILONEWTONS = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) kN\b")
_KGF = re.compile(r" \(\d+(?:\.\d+)? kgf\)")
_SAME = 1e-6
_LONG_PACK = 30.0
"""From this length on a roll is written in whole units. [m or ft]"""
_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


@dataclass(frozen=True, slots=True)
class Measures:
    """Writes measured values in one system of units.

    Metric: metres, millimetres for heights on a fence, kilonewtons, kilograms, degrees Celsius. Imperial: feet, inches
    to the eighth, pounds-force, pounds, degrees Fahrenheit.

    Attributes:
        units: The system.
    """

    units: Units = "metric"

    @property
    def is_metric(self) -> bool:
        """Whether the system is metric."""
        return self.units == "metric"

    @property
    def length_unit(self) -> str:
        """Unit of lengths: m or ft."""
        return "m" if self.is_metric else "ft"

    @property
    def height_unit(self) -> str:
        """Unit of heights on a fence: mm or in."""
        return "mm" if self.is_metric else "in"

    @property
    def force_unit(self) -> str:
        """Unit of forces: kN or lbf."""
        return "kN" if self.is_metric else "lbf"

    @property
    def mass_unit(self) -> str:
        """Unit of masses: kg or lb."""
        return "kg" if self.is_metric else "lb"

    @property
    def temperature_unit(self) -> str:
        """Unit of temperatures: °C or °F."""
        return "°C" if self.is_metric else "°F"

    def length_value(self, metres: Metre) -> float:
        """A length in the unit of the system.

        Args:
            metres: Length. [m]
        """
        return metres if self.is_metric else metres / FOOT_M

    def number(self, metres: Metre, decimals: int = 1) -> str:
        """A length without its unit.

        Args:
            metres: Length. [m]
            decimals: Decimals in metres; one less in feet, none at least.

        Example:
            >>> Measures("imperial").number(304.8), Measures().number(1411.9)
            ('1\u202f000', '1\u202f411.9')
        """
        return grouped(self.length_value(metres), decimals if self.is_metric else max(0, decimals - 1))

    def length(self, metres: Metre, decimals: int = 1) -> str:
        """A length with its unit.

        Args:
            metres: Length. [m]
            decimals: As ``number``.
        """
        return f"{self.number(metres, decimals)}{NO_BREAK}{self.length_unit}"

    def short(self, metres: Metre) -> str:
        """A length that hands measure, such as a take-up or a clamp station: 1.85 m, or 6 ft 1 in.

        Args:
            metres: Length. [m]

        Example:
            >>> Measures("imperial").short(1.85)
            '6\xa0ft 1\xa0in'
        """
        if self.is_metric:
            return f"{grouped(metres, 2)}{NO_BREAK}m"
        inches = round(metres / INCH_M)
        feet, rest = divmod(abs(inches), 12)
        sign = MINUS if inches < 0 else ""
        return f"{sign}{feet}{NO_BREAK}ft {rest}{NO_BREAK}in" if feet else f"{sign}{rest}{NO_BREAK}in"

    def height(self, metres: Metre) -> str:
        """A height on a fence: 902 mm, or 35½ in to the nearest eighth.

        Args:
            metres: Height. [m]

        Example:
            >>> Measures().height(0.902), Measures("imperial").height(0.902)
            ('902\xa0mm', '35½\xa0in')
        """
        return f"{self.height_number(metres)}{NO_BREAK}{self.height_unit}"

    def height_number(self, metres: Metre) -> str:
        """A height on a fence without its unit.

        Args:
            metres: Height. [m]
        """
        if self.is_metric:
            return grouped(metres * 1000.0, 0)
        whole, eighths = divmod(round(abs(metres) / INCH_M * 8), 8)
        sign = MINUS if metres < 0 and (whole or eighths) else ""
        return f"{sign}{whole if whole or not eighths else ''}{_EIGHTHS[eighths]}"

    def force_number(self, newtons: Newton) -> str:
        """A force without its unit: kilonewtons to the hundredth, or pounds-force to the five.

        Args:
            newtons: Force. [N]
        """
        if self.is_metric:
            return grouped(newtons / 1000.0, 2)
        return grouped(5.0 * round(newtons / POUND_FORCE_N / 5.0), 0)

    def force(self, newtons: Newton) -> str:
        """A force with its unit: 8.63 kN, or 1 940 lbf.

        Args:
            newtons: Force. [N]

        Example:
            >>> Measures().force(8629.9)
            '8.63\xa0kN'
        """
        return f"{self.force_number(newtons)}{NO_BREAK}{self.force_unit}"

    def hand_force(self, newtons: Newton) -> str:
        """A force as a tension gauge shows it: kilograms-force, or pounds-force.

        Args:
            newtons: Force. [N]

        Example:
            >>> Measures().hand_force(1078.73)
            '110\xa0kgf'
        """
        return f"{grouped(newtons / KGF_N, 0)}{NO_BREAK}kgf" if self.is_metric else self.force(newtons)

    def mass_number(self, kilograms: Kilogram) -> str:
        """A mass without its unit.

        Args:
            kilograms: Mass. [kg]
        """
        return grouped(kilograms if self.is_metric else kilograms / POUND_KG, 0)

    def mass(self, kilograms: Kilogram) -> str:
        """A mass with its unit.

        Args:
            kilograms: Mass. [kg]
        """
        return f"{self.mass_number(kilograms)}{NO_BREAK}{self.mass_unit}"

    def temperature(self, celsius: float) -> str:
        """A temperature with its unit.

        Args:
            celsius: Temperature. [degC]

        Example:
            >>> Measures("imperial").temperature(-10.0), Measures().temperature(-10.0)
            ('14\xa0°F', '−10\xa0°C')
        """
        value = celsius if self.is_metric else celsius * 9.0 / 5.0 + 32.0
        return f"{grouped(value, 0)}{NO_BREAK}{self.temperature_unit}"

    def area(self, square_metres: SquareMetre) -> str:
        """An area: hectares or acres.

        Args:
            square_metres: Area. [m2]
        """
        if self.is_metric:
            return f"{grouped(square_metres / 10_000.0, 2)}{NO_BREAK}ha"
        return f"{grouped(square_metres / ACRE_M2, 2)}{NO_BREAK}ac"

    def plus_minus(self, metres: Metre, decimals: int = 1) -> str:
        """A standard deviation, as ± and a length; never ±0 where something is there.

        Args:
            metres: Standard deviation. [m]
            decimals: As ``number``.

        Example:
            >>> [Measures().plus_minus(sd) for sd in (2.13, 0.031, 0.001)]
            ['±2.1', '±0.03', '±<0.01']
        """
        digits = decimals if self.is_metric else max(0, decimals - 1)
        value = self.length_value(metres)
        while 0.0 < value < 0.5 * 10.0**-digits and digits < 2:
            digits += 1
        if 0.0 < value < 0.5 * 10.0**-digits:
            return f"±<{grouped(10.0**-digits, digits)}"
        return f"±{grouped(value, digits)}"


    def sentence(self, text: str) -> str:
        """A sentence written with metric figures, with the lengths and forces in it in this system of units.

        Args:
            text: The sentence.

        Example:
            >>> Measures("imperial").sentence("337.7 m is over the 250 m for this mesh at 3.2 kN (326 kgf), 102 mm")
            '1 108 ft is over the 820 ft for this mesh at 720 lbf, 4 in'
        """
        if self.is_metric:
            return text
        text = _KGF.sub("", text)
        text = _METRES.sub(lambda m: self.length(float(m[1]), 0 if float(m[1]) >= 20.0 else 2), text)
        text = _KILONEWTONS.sub(lambda m: self.force(1000.0 * float(m[1])), text)
        return _MILLIMETRES.sub(lambda m: self.height(float(m[1]) / 1000.0) if float(m[1]) >= 20.0 else m[0], text)


def grouped(value: float, decimals: int) -> str:
    """A number with thin spaces between thousands and a real minus sign, never minus zero.

    Args:
        value: The number.
        decimals: Decimals.

    Example:
        >>> grouped(-12345.678, 1), grouped(-0.001, 1), grouped(9999.0, 0)
        ('−12\u202f345.7', '0.0', '9\u202f999')
    """
    text = f"{abs(value):,.{decimals}f}".replace(",", "\u202f")
    return MINUS + text if value < 0 and float(f"{abs(value):.{decimals}f}") else text


def pieces_up(unit: str, quantity: float) -> float:
    """What is counted in pieces, up to the next whole one; any other quantity as it is.

    Args:
        unit: Unit of the item list: each, m, kg.
        quantity: Quantity in it, zero or more.

    Example:
        >>> pieces_up("each", 8.12), pieces_up("each", 8.0), pieces_up("m", 8.12)
        (9.0, 8.0, 8.12)
    """
    return float(math.ceil(quantity - _SAME)) if unit == "each" else quantity


def pieces_down(unit: str, quantity: float) -> float:
    """What is counted in pieces, down to the last whole one, so that it adds up beside ``pieces_up``.

    Args:
        unit: Unit of the item list.
        quantity: Quantity in it.

    Example:
        >>> pieces_down("each", 5.88), pieces_down("each", 0.0), pieces_down("m", 5.88)
        (5.0, 0.0, 5.88)
    """
    return float(math.floor(quantity + _SAME)) if unit == "each" else quantity


def pack_decimals(size: float) -> int:
    """Decimals with which the length of one roll or piece is written: none for whole ones and for rolls.

    Args:
        size: Length in the unit that is written.

    Example:
        >>> pack_decimals(200.0), pack_decimals(656.17), pack_decimals(4.8), pack_decimals(15.748)
        (0, 0, 1, 1)
    """
    return 0 if size >= _LONG_PACK or abs(size - round(size)) < _SAME else 1


def degrees_text(degrees: float, decimals: int = 1) -> str:
    """An angle with its sign, as a rise or a dip: +18.8°.

    Args:
        degrees: Angle. [deg]
        decimals: Decimals.

    Example:
        >>> degrees_text(18.82), degrees_text(-13.0)
        ('+18.8°', '−13.0°')
    """
    text = grouped(degrees, decimals)
    return f"+{text}°" if degrees > 0 and float(f"{degrees:.{decimals}f}") else f"{text}°"


def scale_text(scale: float) -> str:
    """A map scale, as 1 : 2 500.

    Args:
        scale: How many times smaller the map is.
    """
    return f"1{NO_BREAK}:{NO_BREAK}{grouped(scale, 0)}"
