"""Coordinate systems that bare numbers may be in: those whose area of use holds them, and how far they lie apart."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from planner.errors import GridTrouble
from planner.geometry.arrays import Floats
from planner.survey.coordinate_systems import is_same_but_datum, system
from planner.survey.datum_shift import carry, to_lonlat
from planner.units import Metre

Row = tuple[str, str]
LONLAT: tuple[Row, ...] = (
    ("EPSG:4326", "WGS 84 longitude and latitude"), ("EPSG:7844", "GDA2020 longitude and latitude"),
    ("EPSG:4283", "GDA94 longitude and latitude"), ("EPSG:4167", "NZGD2000 longitude and latitude"),
    ("EPSG:4258", "ETRS89 longitude and latitude"), ("EPSG:4277", "OSGB36 longitude and latitude"),
    ("EPSG:4269", "NAD83 longitude and latitude"))
GRIDS: tuple[Row, ...] = (
    *((f"EPSG:{7800 + zone}", f"GDA2020 / MGA zone {zone}") for zone in (55, 54, 56, 50, 51, 52, 53, 49)),
    *((f"EPSG:{28300 + zone}", f"GDA94 / MGA zone {zone}") for zone in (55, 54, 56, 50, 51, 52, 53, 49)),
    ("EPSG:2193", "NZGD2000 / New Zealand Transverse Mercator 2000"), ("EPSG:27700", "OSGB36 / British National Grid"),
    ("EPSG:2157", "IRENET95 / Irish Transverse Mercator"),
    *((f"EPSG:{6329 + zone}", f"NAD83(2011) / UTM zone {zone}N") for zone in range(10, 20)),
    *((f"EPSG:{32600 + zone}", f"WGS 84 / UTM zone {zone}N") for zone in range(1, 61)),
    *((f"EPSG:{32700 + zone}", f"WGS 84 / UTM zone {zone}S") for zone in range(1, 61)))
"""Codes and names as the EPSG data set has them; any other code may be typed."""
NEAR_DEG = 3.0
"""Ground within this of what is known already is the ground of one job. [deg] Common practice, no source."""
TRIED, NAMED = 20, 3
"""Positions that are tried, spread over all; systems that are named in words."""
_DEGREE_M = 111_320.0


def in_degrees(xy: Floats) -> bool:
    """True for numbers that can be longitudes and latitudes.

    Args:
        xy: Two numbers each. Shape (n, 2).
    """
    return bool(len(xy)) and bool((np.abs(xy[:, 0]) <= 360.0).all() and (np.abs(xy[:, 1]) <= 90.0).all())


def fitting(xy: Floats, *, like: str = "", near: tuple[float, float] | None = None) -> tuple[Row, ...]:
    """Known coordinate systems whose area of use holds some numbers: code and name.

    Args:
        xy: East and north, or longitude and latitude, as the file has them. Shape (n, 2).
        like: A projection whose datum alone is open; empty when nothing is known.
        near: Longitude and latitude of what else is known; those that put the numbers near it come alone, where there
            are any. [deg]

    Source:
        Areas of use: IOGP EPSG data set as shipped with PROJ. Checked in tests/unit/survey/test_fitting_systems.py.

    Example:
        >>> [name for _, name in fitting(np.array([[146.5, -36.6]]))]
        ['WGS 84 longitude and latitude', 'GDA2020 longitude and latitude', 'GDA94 longitude and latitude']
    """
    if not len(xy):
        return ()
    some = np.asarray(xy[:: max(1, len(xy) // TRIED), :2], dtype=np.float64)
    rows = (*LONLAT, *GRIDS) if like else LONLAT if in_degrees(some) else GRIDS
    if like:
        rows = tuple(row for row in rows if is_same_but_datum(system(row[0]), system(like)))
    places = {row: to_lonlat(some, row[0]) for row in rows}
    found = [row for row in rows if _holds(row[0], places[row])]
    if rows is LONLAT:  # the box of Australia holds New Zealand as well: the narrower one speaks first
        found = [*found[:1], *sorted(found[1:], key=lambda row: _width(row[0]))]
    if near is not None:
        around = [row for row in found if bool((np.abs(places[row].mean(axis=0) - near) <= NEAR_DEG).all())]
        found = around or found
    return tuple(found)


def told_fitting(rows: Sequence[Row], xy: Floats, *, inside: bool = False) -> str:
    """What some numbers may be, and how far apart that puts them, in a sentence or two.

    Args:
        rows: What fits.
        xy: The numbers. Shape (n, 2).
        inside: True to have it begin and end inside a longer sentence.
    """
    if inside:
        said = told_fitting(rows, xy)
        return said[:1].lower() + said[1:].rstrip(".")
    if not rows:
        return "The numbers fit none of the systems listed here: ask whoever made the file, and type its EPSG code."
    more = len(rows) - NAMED
    names = [name.removesuffix(" longitude and latitude") for _, name in rows[:NAMED]]
    said = ", ".join(names) + f" and {more} more" if more > 0 else " or ".join(
        part for part in (", ".join(names[:-1]), names[-1]) if part)
    if in_degrees(xy):
        said = f"degrees in {said}"
    widest = _apart(rows, xy)
    apart = ""
    if widest is not None:
        one, other, metres = widest
        apart = f" {one} and {other} lie {metres:.{0 if metres >= 10.0 else 1}f} m apart there."
    zone = " A wrong zone is hundreds of kilometres off." if more > 0 else ""
    return f"The numbers can be {said}.{apart}{zone} Ask whoever made the file."


def _apart(rows: Sequence[Row], xy: Floats) -> tuple[str, str, Metre] | None:
    """The two furthest apart of those that project like the first, and how far; None where they cannot be compared."""
    first = system(rows[0][0])
    alike = [row for row in rows if is_same_but_datum(system(row[0]), first)][:2 * NAMED]
    widest: tuple[str, str, Metre] | None = None
    some = np.asarray(xy[:1, :2], dtype=np.float64)
    for (one, called), (other, other_called) in combinations(alike, 2):
        try:
            off = carry(some, source=one, target=other).xy - some
        except GridTrouble:
            continue
        if first.is_lonlat:
            off = off * _DEGREE_M * np.array([np.cos(np.radians(some[0, 1])), 1.0])
        metres = float(np.hypot(*off[0]))
        if metres >= 0.05 and (widest is None or metres > widest[2]):
            widest = called.removesuffix(" longitude and latitude"), other_called.removesuffix(
                " longitude and latitude"), metres
    return widest


def _width(code: str) -> float:
    west, _, east, _ = system(code).area or (0.0, 0.0, 360.0, 0.0)
    return float(np.remainder(east - west, 360.0))


def _holds(code: str, lonlat: Floats) -> bool:
    area = system(code).area
    if area is None or not np.isfinite(lonlat).all():
        return False
    west, south, east, north = area
    along = np.remainder(lonlat[:, 0] - west, 360.0) <= (np.remainder(east - west, 360.0) or 360.0)
    return bool((along & (south <= lonlat[:, 1]) & (lonlat[:, 1] <= north)).all())
