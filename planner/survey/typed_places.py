"""Places that a person typed or pasted: east and north, or longitude and latitude."""

from __future__ import annotations

import re

import numpy as np
import shapely

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.survey.datum_shift import carry
from planner.survey.feature_meanings import Shape

LONLAT = "EPSG:4326"
LEAST: dict[Shape, int] = {"point": 1, "line": 2, "area": 3}
"""Least number of places of a shape."""
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?")


def typed_places(text: str, grid: str, *, allow_ballpark: bool = False) -> Floats:
    """Places in the grid of a job. [m] Shape (n, 2).

    Numbers stand in pairs, with anything but letters between them: ``455200 5951800; 455300 5951900``. Pairs that all
    lie within 180 and 90 are longitude and latitude (WGS 84); where the first cannot be a longitude's partner, as in
    ``-36.58, 146.52``, latitude came first.

    Args:
        text: What was typed.
        grid: Working grid of the job.
        allow_ballpark: Takes a datum operation of unknown accuracy where there is no other.

    Raises:
        OutOfRange: It holds no pairs of numbers, or letters between them.
        GridTrouble: The job has no grid, or longitude and latitude cannot be brought into it.

    Example:
        >>> typed_places("455200,5951800  455300,5951900", "EPSG:7855").tolist()
        [[455200.0, 5951800.0], [455300.0, 5951900.0]]
    """
    rest = _NUMBER.sub(" ", text)
    numbers = [float(number) for number in _NUMBER.findall(text)]
    if len(numbers) < 2 or len(numbers) % 2 or re.search(r"[^\s,;/|()]", rest):
        raise OutOfRange(f"'{text.strip()[:60]}' is no list of places",
                         remedy="write pairs such as 455200 5951800; 455300 5951900, or 146.512 -36.581")
    xy = np.array(numbers, dtype=np.float64).reshape(-1, 2)
    x, y = np.abs(xy).max(axis=0)
    if x > 180.0 or y > 180.0:
        return xy
    if y > 90.0 >= x:
        xy = xy[:, ::-1]
    elif y > 90.0:
        raise OutOfRange(f"'{text.strip()[:60]}' holds a latitude beyond 90 degrees", remedy="check the numbers")
    return carry(xy, source=LONLAT, target=grid, allow_ballpark=allow_ballpark).xy


def shape_through(places: Floats, kind: Shape) -> shapely.Geometry:
    """The shape through some places.

    Args:
        places: Places in the grid. [m] Shape (n, 2).
        kind: point, line or area.

    Raises:
        OutOfRange: There are too few places for it, several for a point, or the outline crosses itself.
    """
    if len(places) < LEAST[kind]:
        raise OutOfRange(f"it needs {LEAST[kind]} places, and {len(places)} are given", remedy="give more")
    if kind == "point":
        if len(places) > 1:
            raise OutOfRange(f"a point has one place, and {len(places)} are given", remedy="give the first alone")
        return shapely.Point(places[0])
    if kind == "line":
        return shapely.LineString(places)
    shape = shapely.Polygon(places)
    if not shape.is_valid:
        raise OutOfRange("its outline crosses itself", remedy="take places back or give them in order")
    return shape
