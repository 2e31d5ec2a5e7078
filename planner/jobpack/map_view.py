"""A window of the map at a scale: from the working grid to paper, its grid, its scale bar and its north."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from planner.geometry.arrays import Floats
from planner.jobpack.page.measures import Measures, grouped
from planner.jobpack.page.records import FAINT, INK, PAPER, RULE, Area, Mark, Spot, Stroke, Strokes, Text, box
from planner.units import FOOT_M, Metre

SCALES = (250.0, 500.0, 1000.0, 1500.0, 2000.0, 2500.0, 4000.0, 5000.0, 7500.0, 10_000.0, 15_000.0, 20_000.0, 25_000.0,
          30_000.0, 40_000.0, 50_000.0, 75_000.0, 100_000.0, 200_000.0, 250_000.0, 500_000.0, 1_000_000.0)
_NICE = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class MapView:
    """A rectangle of the working grid on a rectangle of paper, north up.

    Attributes:
        x: Left edge on paper. [mm]
        y: Upper edge on paper. [mm]
        width: Width on paper. [mm]
        height: Height on paper. [mm]
        east: Easting of its middle. [m]
        north: Northing of its middle. [m]
        scale: How many times smaller the map is.
    """

    x: float
    y: float
    width: float
    height: float
    east: Metre
    north: Metre
    scale: float

    @property
    def per_m(self) -> float:
        """Millimetres on paper for a metre of grid. [mm/m]"""
        return 1000.0 / self.scale

    @property
    def bounds(self) -> tuple[Metre, Metre, Metre, Metre]:
        """West, south, east and north edge in the working grid. [m]"""
        half_x, half_y = self.width / 2 / self.per_m, self.height / 2 / self.per_m
        return self.east - half_x, self.north - half_y, self.east + half_x, self.north + half_y

    def spot(self, east: Metre, north: Metre) -> Spot:
        """A position on paper.

        Args:
            east: Easting. [m]
            north: Northing. [m]
        """
        return (self.x + self.width / 2 + (east - self.east) * self.per_m,
                self.y + self.height / 2 - (north - self.north) * self.per_m)

    def spots(self, xy: Floats) -> tuple[Spot, ...]:
        """Positions on paper.

        Args:
            xy: Eastings and northings. [m] Shape (n, 2).
        """
        right = self.x + self.width / 2 + (xy[:, 0] - self.east) * self.per_m
        down = self.y + self.height / 2 - (xy[:, 1] - self.north) * self.per_m
        return tuple(zip(np.round(right, 3).tolist(), np.round(down, 3).tolist(), strict=True))

    def sees(self, east: Metre, north: Metre, *, rim_mm: float = 0.0) -> bool:
        """Whether a position lies in the window.

        Args:
            east: Easting. [m]
            north: Northing. [m]
            rim_mm: How far inside the frame it must lie on paper. [mm]
        """
        x, y = self.spot(east, north)
        return (self.x + rim_mm <= x <= self.x + self.width - rim_mm
                and self.y + rim_mm <= y <= self.y + self.height - rim_mm)


def scale_to_fit(extent: tuple[Metre, Metre, Metre, Metre], *, width: float, height: float) -> float:
    """The largest round scale at which an extent goes into a rectangle of paper.

    Args:
        extent: West, south, east, north. [m]
        width: Width of the paper. [mm]
        height: Its height. [mm]
    """
    west, south, east, north = extent
    least = max((east - west) / width, (north - south) / height, 1e-9) * 1000.0
    return next((scale for scale in SCALES if scale >= least), 10.0 ** math.ceil(math.log10(least)))


def grid_step(view: MapView) -> Metre:
    """Distance of grid lines: the first of 10, 20, 50, 100 ... m that stands 35 mm or more apart. [m]

    Args:
        view: The window.
    """
    return _nice_above(35.0 / view.per_m)


def grid_marks(view: MapView) -> tuple[list[Mark], list[Mark]]:
    """Grid lines, which lie behind the map, and their numbers, which stand outside its frame.

    Args:
        view: The window.
    """
    step = grid_step(view)
    west, south, east, north = view.bounds
    lines: list[tuple[float, float, float, float]] = []
    numbers: list[Mark] = []
    for k in range(math.ceil(west / step), math.floor(east / step) + 1):
        x, _ = view.spot(k * step, north)
        lines.append((x, view.y, x, view.y + view.height))
        if view.x + 9.0 < x < view.x + view.width - 9.0:
            numbers.append(Text(x, view.y - 1.0, f"{_grid_number(k * step)} E", 6.2, "regular", "middle", FAINT))
    for k in range(math.ceil(south / step), math.floor(north / step) + 1):
        _, y = view.spot(west, k * step)
        lines.append((view.x, y, view.x + view.width, y))
        if view.y + 10.0 < y < view.y + view.height - 10.0:
            numbers.append(Text(view.x - 1.0, y, f"{_grid_number(k * step)} N", 6.2, "regular", "middle", FAINT, 90.0))
    return [Strokes(tuple(lines), 0.1, RULE)] if lines else [], numbers


def scale_bar(view: MapView, measures: Measures, *, x: float, y: float, most: float) -> list[Mark]:
    """A scale bar in metres or feet.

    Args:
        view: The window.
        measures: Units.
        x: Left edge. [mm]
        y: Its upper edge. [mm]
        most: Greatest length. [mm]
    """
    unit_m, unit = (1.0, "m") if measures.is_metric else (FOOT_M, "ft")
    total = _nice_below(most / view.per_m / unit_m)
    parts = 4 if f"{total:e}".startswith("2") else 5
    part = total * unit_m * view.per_m / parts
    marks: list[Mark] = [box(x + k * part, y, part, 1.6, fill=INK if k % 2 == 0 else PAPER) for k in range(parts)]
    marks += [Text(x, y + 4.4, "0", 6.8), Text(x + parts * part, y + 4.4, f"{grouped(total, 0)} {unit}", 6.8, "regular",
                                               "right")]
    return marks


def north_arrow(x: float, y: float, *, size: float = 13.0) -> list[Mark]:
    """An arrow to grid north, half of it solid.

    Args:
        x: Its middle. [mm]
        y: Its tip. [mm]
        size: Its height. [mm]
    """
    wide = size * 0.26
    return [Area(((x, y), (x + wide, y + size), (x, y + size * 0.78)), INK),
            Area(((x, y), (x - wide, y + size), (x, y + size * 0.78)), PAPER),
            Text(x, y + size + 3.6, "N", 9.0, "bold", "middle")]


def map_frame(view: MapView) -> Mark:
    """The frame round a map.

    Args:
        view: The window.
    """
    return Stroke(((view.x, view.y), (view.x + view.width, view.y), (view.x + view.width, view.y + view.height),
                   (view.x, view.y + view.height), (view.x, view.y)), 0.35, INK)


def _grid_number(value: float) -> str:
    return grouped(value, 0)


def _nice_above(least: float) -> float:
    power = 10.0 ** math.floor(math.log10(max(least, 1e-9)))
    return next(n * power for n in _NICE if n * power >= least * (1 - 1e-12))


def _nice_below(most: float) -> float:
    power = 10.0 ** math.floor(math.log10(max(most, 1e-9)))
    return next(n * power for n in reversed(_NICE) if n * power <= most * (1 + 1e-12))
