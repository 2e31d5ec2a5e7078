"""Grid, ellipsoid and ground: how long a metre of the grid is on the ground, and where grid north points.

Source:
    ICSM, GDA94 Technical Manual and GDA2020 Technical Manual, grid calculations: ground distance = grid distance /
    (point scale factor x elevation factor); grid bearing = azimuth + grid convergence. Checked against the Flinders
    Peak - Buninyong example of both in tests/validation/test_flinders_peak_buninyong.py.
"""

from __future__ import annotations

import threading
from functools import lru_cache
from typing import Any

import numpy as np
from pyproj import Geod, Proj

from planner.geometry.arrays import Floats
from planner.geometry.bearings import whole_circle
from planner.survey.coordinate_systems import system
from planner.survey.datum_shift import to_lonlat
from planner.units import Degree, Metre, SquareMetre

EARTH_RADIUS_M = 6_371_000.0
"""Mean radius of the earth, as elevation factors take it."""


def point_scale(xy: Floats, crs: str) -> Floats:
    """Point scale factor: grid length over ellipsoidal length at a point. Shape (n,). NaN without a place.

    Args:
        xy: East and north. [m] Shape (n, 2).
        crs: Code or WKT of the grid, which must keep angles.

    Raises:
        GridTrouble: The grid is unknown.
    """
    return _factor("meridional_scale", xy, crs)


def combined_scale(xy: Floats, level_m: Floats, crs: str) -> Floats:
    """Grid length over ground length at a point: point scale times elevation factor R / (R + h). Shape (n,).

    Ground length = grid length / combined. Levels above the sea are taken for heights above the ellipsoid, which
    leaves 3 to 8 mm in a kilometre where the two surfaces are 20 to 50 m apart. An unknown level is taken as the mean
    of the known ones, and as 0 when none is known.

    Args:
        xy: East and north. [m] Shape (n, 2).
        level_m: Ground levels. [m] Shape (n,), NaN where unknown.
        crs: Code or WKT of the grid.

    Raises:
        GridTrouble: The grid is unknown.
    """
    known = np.isfinite(level_m)
    level = np.where(known, level_m, float(level_m[known].mean()) if known.any() else 0.0)
    return np.asarray(point_scale(xy, crs) * EARTH_RADIUS_M / (EARTH_RADIUS_M + level), dtype=float)


def line_scale(start: tuple[Metre, Metre], end: tuple[Metre, Metre], crs: str) -> float:
    """Line scale factor: grid length over ellipsoidal length of a straight, by Simpson's rule along it.

    Args:
        start: East and north. [m]
        end: East and north. [m]
        crs: Code or WKT of the grid.

    Raises:
        GridTrouble: The grid is unknown.
    """
    ends = np.array([start, end], dtype=float)
    first, middle, last = point_scale(np.array([ends[0], ends.mean(axis=0), ends[1]]), crs)
    return float((first + 4.0 * middle + last) / 6.0)


def grid_convergence(xy: Floats, crs: str) -> Floats:
    """Grid convergence in the sign of ICSM: grid bearing = azimuth + convergence. [deg] Shape (n,).

    PROJ counts it the other way round.

    Args:
        xy: East and north. [m] Shape (n, 2).
        crs: Code or WKT of the grid.

    Raises:
        GridTrouble: The grid is unknown.
    """
    return -_factor("meridian_convergence", xy, crs)


def grid_bearing(start: tuple[Metre, Metre], end: tuple[Metre, Metre], crs: str) -> Degree:
    """Bearing, from grid north, of the line of sight at its start. [deg]

    On the grid that line is a curve: the bearing of the straight between the ends, less this, is the arc-to-chord
    correction.

    Args:
        start: East and north. [m]
        end: East and north. [m]
        crs: Code or WKT of the grid.

    Raises:
        GridTrouble: The grid is unknown.
    """
    azimuth, _, _ = geodesic(start, end, crs)
    return whole_circle(azimuth + float(grid_convergence(np.array([start], dtype=float), crs)[0]))


def geodesic(start: tuple[Metre, Metre], end: tuple[Metre, Metre], crs: str) -> tuple[Degree, Degree, Metre]:
    """Azimuth there, azimuth back and length on the ellipsoid of the shortest line between two grid positions.

    Args:
        start: East and north. [m]
        end: East and north. [m]
        crs: Code or WKT of the grid.

    Returns:
        Azimuth from start to end, azimuth from end to start, both from true north, and length. [deg], [deg], [m]

    Raises:
        GridTrouble: The grid is unknown.
    """
    (lon1, lat1), (lon2, lat2) = to_lonlat(np.array([start, end], dtype=float), crs)
    there, back, length = _ellipsoid(crs).inv(lon1, lat1, lon2, lat2)
    return whole_circle(there), whole_circle(back), float(length)


def ellipsoidal_area(xy: Floats, crs: str) -> tuple[SquareMetre, Metre]:
    """Area and boundary length of a ring on the ellipsoid, free of the grid's scale.

    Args:
        xy: Corners of the ring in either direction; the first may be repeated at the end. [m] Shape (n, 2).
        crs: Code or WKT of the grid.

    Returns:
        Area, never negative, and length. [m2], [m]

    Raises:
        GridTrouble: The grid is unknown.
    """
    lonlat = to_lonlat(xy, crs)
    area, length = _ellipsoid(crs).polygon_area_perimeter(lonlat[:, 0], lonlat[:, 1])
    return abs(float(area)), float(length)


def _factor(which: str, xy: Floats, crs: str) -> Floats:
    lonlat = to_lonlat(xy, crs)
    if len(lonlat) == 0:  # the library takes no empty arrays
        return np.zeros(0)
    factors = _projection(crs, threading.get_ident()).get_factors(lonlat[:, 0], lonlat[:, 1])
    values = np.asarray(getattr(factors, which), dtype=float)
    return np.where(np.isfinite(values), values, np.nan)


@lru_cache(maxsize=32)
def _projection(crs: str, thread: int) -> Any:
    """One for each thread: the library's object may not be shared between threads."""
    return Proj(system(crs).plain)


def _ellipsoid(crs: str) -> Any:
    ellipsoid = system(crs).plain.ellipsoid
    return Geod(a=ellipsoid.semi_major_metre, rf=ellipsoid.inverse_flattening)
