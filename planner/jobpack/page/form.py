"""Paper: its sizes, its margins, and what a person chose for the sheets."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from planner.jobpack.page.measures import Measures, Units

Paper = Literal["A4", "A3"]
SIZES_MM: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
"""Short and long side, ISO 216. [mm]"""
MARGIN_MM = 13.0
HEAD_MM = 17.0
FOOT_MM = 13.0


@dataclass(frozen=True, slots=True)
class Form:
    """A sheet of paper as a document uses it.

    Attributes:
        paper: Its size.
        landscape: True when its long side lies.
    """

    paper: Paper = "A4"
    landscape: bool = False

    @property
    def width(self) -> float:
        """Width of the paper. [mm]"""
        return SIZES_MM[self.paper][1 if self.landscape else 0]

    @property
    def height(self) -> float:
        """Height of the paper. [mm]"""
        return SIZES_MM[self.paper][0 if self.landscape else 1]

    @property
    def left(self) -> float:
        """Left edge of what is written. [mm]"""
        return MARGIN_MM

    @property
    def right(self) -> float:
        """Right edge of what is written. [mm]"""
        return self.width - MARGIN_MM

    @property
    def top(self) -> float:
        """Upper edge of what is written, under the head. [mm]"""
        return MARGIN_MM - 3.0 + HEAD_MM

    @property
    def bottom(self) -> float:
        """Lower edge of what is written, above the foot. [mm]"""
        return self.height - MARGIN_MM + 3.0 - FOOT_MM

    @property
    def inner_width(self) -> float:
        """Width of what is written. [mm]"""
        return self.right - self.left

    @property
    def inner_height(self) -> float:
        """Height of what is written. [mm]"""
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """What a person chose for the sheets.

    Attributes:
        units: metric or imperial.
        drawings: Paper of maps, long sections and cutting plans; lists stay on A4, which every printer takes.
        dated: Day printed in the head.
    """

    units: Units = "metric"
    drawings: Paper = "A4"
    dated: date = field(default_factory=date.today)

    @property
    def measures(self) -> Measures:
        """How values are written."""
        return Measures(self.units)
