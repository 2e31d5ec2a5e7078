"""What must be known of a file's coordinate system while reading: degrees or lengths, and how long its unit is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.errors import GridTrouble
from planner.files.readers.rules import Troubles
from planner.geometry.arrays import Booleans, Floats
from planner.units import Metre

_DEGREE_M = 111_320.0
_FARTHEST = 1e8


@dataclass(frozen=True, slots=True)
class Grid:
    """The grid that the positions of one file are in, as far as reading needs it.

    Attributes:
        crs: Authority code or WKT; empty when the file states none.
        geographic: True when positions are longitude and latitude in degrees.
        metre_per_unit: Length of one unit of a projected grid. [m]
        swapped: True when a person said that east and north stand in each other's place in the file.
    """

    crs: str = ""
    geographic: bool = False
    metre_per_unit: Metre = 1.0
    swapped: bool = False

    def as_plane(self, xy: Floats) -> Floats:
        """Positions in metres from the first of them, good enough for limits and for areas said in a message.

        Args:
            xy: Positions in the grid, all finite. [m] or [deg] Shape (n, 2).

        Returns:
            Positions. [m] Shape (n, 2). Degrees are taken as 111 320 m each, longitudes times the cosine of latitude.
        """
        off = xy - xy[:1]
        if not self.geographic:
            return off * self.metre_per_unit
        off = np.column_stack((np.remainder(off[:, 0] + 180.0, 360.0) - 180.0, off[:, 1]))
        return off * (_DEGREE_M * np.array([np.cos(np.radians(float(np.mean(xy[:, 1])))), 1.0]))

    def reaches(self, xy: Floats) -> Booleans:
        """Which positions lie where the grid can reach; those that are not numbers do not. Shape (n,).

        Args:
            xy: Positions in the grid. [m] or [deg] Shape (n, 2). Latitude within 90 degrees, longitude within 360;
                lengths within 100 000 km.
        """
        limit = np.array([360.0, 90.0]) if self.geographic else np.array([_FARTHEST, _FARTHEST])
        return np.asarray((np.abs(xy) <= limit).all(axis=1))

    def area_m2(self, area: float, around: Floats) -> float:
        """An area in square metres. [m2]

        Args:
            area: Area in squared units of the grid.
            around: Positions near it, for the length of a degree. [m] or [deg] Shape (n, 2).
        """
        if not self.geographic:
            return area * self.metre_per_unit**2
        return area * _DEGREE_M**2 * float(np.cos(np.radians(float(np.mean(around[:, 1])))))


def grid_of(crs_like: object, troubles: Troubles, *, swapped: bool = False) -> Grid:
    """The grid that a file states.

    Args:
        crs_like: Code, WKT or whatever the file held; empty when it held nothing.
        troubles: Where an unknown coordinate system is noted.
        swapped: True when a person said that the axes stand in each other's place.

    Returns:
        The grid; with an empty ``crs`` when none is stated or the stated one is not known.
    """
    from planner.survey import datum

    if not crs_like:
        return Grid(swapped=swapped)
    try:
        code = datum.to_code(crs_like)
    except GridTrouble as trouble:
        short = " ".join(str(crs_like).split())[:60]
        troubles.add("survey-59", f"the coordinate system stated here is not known ({short}): {trouble.what}.")
        return Grid(swapped=swapped)
    return _described(code, swapped) if code else Grid(swapped=swapped)


def _described(code: str, swapped: bool) -> Grid:
    from pyproj import CRS

    system = CRS(code)
    geographic = bool(system.is_geographic)
    axes = system.axis_info
    unit = 1.0 if geographic or not axes else float(axes[0].unit_conversion_factor) or 1.0
    return Grid(code, geographic, unit, swapped)


def same_grid(a: str, b: str) -> bool:
    """True when two coordinate systems are the same, whatever the order of their axes.

    Args:
        a: Authority code, WKT or empty.
        b: Authority code, WKT or empty.
    """
    if a == b or not (a and b):
        return a == b
    from pyproj import CRS

    return bool(CRS(a).equals(CRS(b), ignore_axis_order=True))
