"""Where the new fences of a divided paddock run, and the land between them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any, TypeAlias

import numpy as np
import shapely

from planner.geometry.arrays import Floats
from planner.units import Metre, Radian, SquareMetre

_ON_EDGE_M = 1e-4
_CRUMB_M2: SquareMetre = 1e-6

Land: TypeAlias = Any
"""A polygon of shapely, or several where some land lies in pieces."""


def pieces_inside(land: Land, xy: Floats) -> list[Floats]:
    """The stretches of a line that run inside a paddock, without those that run on its edge or in its holes.

    Args:
        land: The paddock.
        xy: Corners of the line. [m] Shape (n, 2).

    Returns:
        Corners of each stretch, in order along the line. [m] Each of shape (m, 2).
    """
    corners = shapely.get_coordinates(land)
    rings = shapely.get_parts(shapely.get_rings(land))
    edges = [shapely.get_coordinates(ring) for ring in rings]
    start, end = np.concatenate([e[:-1] for e in edges]), np.concatenate([e[1:] for e in edges])
    edge = shapely.boundary(land)
    shapely.prepare(land)
    found: list[Floats] = []
    for a, b in pairwise(xy):
        places = a + _marks(a, b, start, end, corners)[:, None] * (b - a)
        middles = shapely.points((places[:-1] + places[1:]) / 2)
        kept = shapely.contains(land, middles) & (shapely.distance(edge, middles) > _ON_EDGE_M)
        for i in np.flatnonzero(kept):
            if found and np.array_equal(found[-1][-1], places[i]):
                straight = i > 0 and len(found[-1]) > 1 and kept[i - 1]
                found[-1] = np.concatenate((found[-1][:-1] if straight else found[-1], places[i + 1:i + 2]))
            else:
                found.append(places[i:i + 2])
    return found


def _marks(a: Floats, b: Floats, start: Floats, end: Floats, corners: Floats) -> Floats:
    """Shares of a leg at which it may go in or out: where it crosses an edge and where a corner stands on it."""
    step = b - a
    length = float(np.hypot(*step))
    off_start, off_end, off = (((p - a) @ np.array([-step[1], step[0]])) / length for p in (start, end, corners))
    crossing = (np.minimum(off_start, off_end) < -_ON_EDGE_M) & (np.maximum(off_start, off_end) > _ON_EDGE_M)
    share = off_start[crossing] / (off_start[crossing] - off_end[crossing])
    on = start[crossing] + share[:, None] * (end - start)[crossing]
    at = np.concatenate((on, corners[np.abs(off) <= _ON_EDGE_M]))
    along = ((at - a) @ step) / length**2
    marks = np.unique(np.concatenate(([0.0], along[(along > 0.0) & (along < 1.0)], [1.0])))
    return np.asarray(marks[np.concatenate(([True], np.diff(marks) * length > _ON_EDGE_M / 10))])


def strips(land: Land, axes: tuple[Floats, Floats], at: Floats) -> list[Land]:
    """The land between successive parallel lines, one more than there are lines.

    Args:
        land: The paddock.
        axes: Unit vectors to the right of the lines and along them. Shape (2,) each.
        at: Distance of each line to the right of the origin, rising. [m] Shape (k,).
    """
    right, ahead = axes
    xy = shapely.get_coordinates(land)
    across, along = xy @ right, xy @ ahead
    limits = np.concatenate(([across.min() - 1.0], at, [across.max() + 1.0]))
    low, high = along.min() - 1.0, along.max() + 1.0
    bands = [shapely.Polygon([s1 * right + low * ahead, s1 * right + high * ahead, s2 * right + high * ahead,
                              s2 * right + low * ahead]) for s1, s2 in pairwise(limits)]
    return [without_crumbs(shapely.intersection(land, band)) for band in bands]


def line_across(land: Land, axes: tuple[Floats, Floats], at: Metre) -> Floats:
    """A straight line right across a paddock. [m] Shape (2, 2).

    Args:
        land: The paddock.
        axes: Unit vectors to the right of the line and along it. Shape (2,) each.
        at: Its distance to the right of the origin. [m]
    """
    along = shapely.get_coordinates(land) @ axes[1]
    return np.array([at * axes[0] + (along.min() - 1.0) * axes[1], at * axes[0] + (along.max() + 1.0) * axes[1]])


def wedges(land: Land, bearings: Sequence[Radian]) -> list[Land]:
    """The land between successive rays from the origin, clockwise.

    Args:
        land: The paddock.
        bearings: Bearings of the rays, rising; the last closes the last wedge. [rad]
    """
    reach = 2.0 * float(np.abs(shapely.get_coordinates(land)).max()) + 2.0
    found: list[Land] = []
    for first, last in pairwise(bearings):
        turns = np.linspace(first, last, max(1, int(np.ceil((last - first) / 1.0))) + 1)
        rim = np.column_stack((np.sin(turns), np.cos(turns))) * reach
        found.append(without_crumbs(shapely.intersection(land, shapely.Polygon([(0.0, 0.0), *rim]))))
    return found


def ray(land: Land, bearing: Radian) -> Floats:
    """A ray from the origin to beyond a paddock. [m] Shape (2, 2).

    Args:
        land: The paddock.
        bearing: Its bearing. [rad]
    """
    reach = 2.0 * float(np.abs(shapely.get_coordinates(land)).max()) + 2.0
    return np.array([(0.0, 0.0), (reach * np.sin(bearing), reach * np.cos(bearing))])


def without_crumbs(shape: shapely.Geometry) -> Land:
    """The polygons of a shape, without lines, points and crumbs that rounding leaves.

    Args:
        shape: What an overlay gave.
    """
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > _CRUMB_M2]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)
