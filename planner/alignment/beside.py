"""What a fence runs beside: a boundary or water, how far from it, on which side, and the land between the two."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
import shapely
import shapely.ops

from planner.geometry.arrays import Booleans, Floats
from planner.geometry.lines import chainages, points_along
from planner.units import Metre, SquareMetre

Side = Literal["left", "right", "inside", "outside", "around"]
_STEP_M = 2.0
_ON_IT_M = 0.05
_ALONG_SHARE = 0.5
"""Least advance along what a fence runs beside, as a share of its own length; less is running at it."""


@dataclass(frozen=True, slots=True)
class Beside:
    """A stretch of a fence that runs beside something.

    Attributes:
        from_m: Grid distance along the fence at which it starts. [m]
        to_m: Grid distance at which it ends. [m]
        side: Side of the other that the greater part of the fence stands on: left or right of a line, looking the way
            it is drawn; inside or outside an area; around where the fence runs right round with an area.
        least_m: Least distance to it. [m]
        mean_m: Mean distance. [m]
        greatest_m: Greatest distance. [m]
        least_at_m: Grid distance along the fence at which it is nearest. [m]
        left_m2: Land between the two where the fence stands left of a line or inside an area. [m2]
        right_m2: Land between the two where it stands right of a line or outside an area. [m2]
    """

    from_m: Metre
    to_m: Metre
    side: Side
    least_m: Metre
    mean_m: Metre
    greatest_m: Metre
    least_at_m: Metre
    left_m2: SquareMetre
    right_m2: SquareMetre

    @property
    def length_m(self) -> Metre:
        """Grid length of the stretch. [m]"""
        return self.to_m - self.from_m


def beside(xy: Floats, other: shapely.Geometry, *, within_m: Metre, least_length_m: Metre = 20.0,
           parts_by_side: bool = False, closed: bool = False) -> tuple[Beside, ...]:
    """Stretches of a fence that run beside a line or an area.

    The fence is looked at every two metres. A stretch is near all along; one that runs at the other rather than along
    it is left out. A closed fence that is near an area all along is one stretch.

    Args:
        xy: Corners of the fence. [m] Shape (n, 2).
        other: Line or area, in the same grid.
        within_m: Greatest distance that counts as beside. [m]
        least_length_m: Shortest stretch told. [m]
        parts_by_side: True to end a stretch where the fence changes over to the other side.
        closed: True where the fence returns to its start.
    """
    if other.is_empty or shapely.distance(shapely.LineString(xy), other) > within_m:
        return ()
    if other.geom_type == "Polygon" and closed and (found := _round(xy, other)).greatest_m <= within_m:
        return (found,)
    stretches: list[Beside] = []
    for line in _lines_of(other):
        stretches += _beside_line(xy, line, within_m, least_length_m, parts_by_side)
    if other.geom_type in ("Polygon", "MultiPolygon"):
        return tuple(replace(b, side="inside" if b.side == "left" else "outside") for b in stretches)
    return tuple(stretches)


def _lines_of(shape: shapely.Geometry) -> Iterator[Any]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon":
            yield shapely.LineString(shapely.orient_polygons(part).exterior.coords)
        elif part.geom_type in ("LineString", "LinearRing") and part.length > 0:
            yield shapely.LineString(part.coords)


def _beside_line(xy: Floats, line: Any, within_m: Metre, least_length_m: Metre, by_side: bool) -> list[Beside]:
    along = chainages(xy)
    at = np.unique(np.concatenate((np.arange(0.0, along[-1], _STEP_M), along)))
    places = points_along(xy, at)
    points = shapely.points(places)
    off = shapely.distance(points, line)
    near = off <= within_m
    foot, side = np.zeros(len(at)), np.zeros(len(at), dtype=np.int64)  # what is not near is in no stretch
    foot[near] = shapely.line_locate_point(line, points[near])
    side[near] = _sides(line, places[near], foot[near])
    side[off < _ON_IT_M] = 0
    found = []
    for first, last in _runs(near, side if by_side else None):
        length = at[last] - at[first]
        advance = np.abs(np.diff(foot[first:last + 1]))
        if line.is_ring:
            advance = np.minimum(advance, line.length - advance)
        if length < least_length_m or advance.sum() < _ALONG_SHARE * length:
            continue
        found.append(_stretch(xy, line, at, off, foot, side, first, last))
    return found


def _runs(near: Booleans, side: Any) -> Iterator[tuple[int, int]]:
    """First and last index of each run of places that are near, parted where the side changes if wanted."""
    start: int | None = None
    now = 0
    for k, is_near in enumerate(near.tolist()):
        mine = 0 if side is None else int(side[k])
        changed = start is not None and mine != 0 and now != 0 and mine != now
        if start is not None and (not is_near or changed):
            yield start, k - 1
            start, now = None, 0
        if is_near:
            start = k if start is None else start
            now = mine or now
    if start is not None:
        yield start, len(near) - 1


def _sides(line: Any, places: Floats, foot: Floats) -> Any:
    """1 left, -1 right of a line, looking the way it is drawn. Shape (n,)."""
    half = min(0.5, line.length / 4)
    low = shapely.get_coordinates(shapely.line_interpolate_point(line, np.maximum(foot - half, 0.0)))
    high = shapely.get_coordinates(shapely.line_interpolate_point(line, np.minimum(foot + half, line.length)))
    on = shapely.get_coordinates(shapely.line_interpolate_point(line, foot))
    ahead, aside = high - low, places - on
    return np.sign(ahead[:, 0] * aside[:, 1] - ahead[:, 1] * aside[:, 0]).astype(int)


def _stretch(xy: Floats, line: Any, at: Floats, off: Floats, foot: Floats, side: Any, first: int,
             last: int) -> Beside:
    inside = slice(first, last + 1)
    fence = points_along(xy, at[inside])
    areas = {1: 0.0, -1: 0.0}
    for piece in _between(fence, line, float(foot[first]), float(foot[last])):
        middle = shapely.get_coordinates(piece.representative_point())
        way = _sides(line, middle, np.atleast_1d(shapely.line_locate_point(line, shapely.points(middle))))
        areas[1 if way[0] >= 0 else -1] += piece.area
    nearest = int(np.argmin(off[inside]))
    return Beside(float(at[first]), float(at[last]), "left" if side[inside].sum() >= 0 else "right",
                  float(off[inside].min()), _mean(off[inside], at[inside]),
                  float(off[inside].max()), float(at[inside][nearest]), areas[1], areas[-1])


def _mean(off: Floats, at: Floats) -> Metre:
    """Mean along the fence, the distance between two places taken as changing evenly."""
    return float(np.trapezoid(off, at) / (at[-1] - at[0])) if len(at) > 1 else float(off[0])


def _between(fence: Floats, line: Any, start: Metre, end: Metre) -> list[Any]:
    """The pieces of land between a stretch of fence and the stretch of line beside it."""
    back = shapely.get_coordinates(shapely.ops.substring(line, end, start))
    if line.is_ring and abs(end - start) > line.length / 2:
        low, high = min(start, end), max(start, end)
        rest = np.concatenate((shapely.get_coordinates(shapely.ops.substring(line, high, line.length)),
                               shapely.get_coordinates(shapely.ops.substring(line, 0.0, low))))
        back = rest if end == high else rest[::-1]
    ring = np.concatenate((fence, back, fence[:1]))
    return list(shapely.get_parts(shapely.polygonize([shapely.unary_union(shapely.LineString(ring))])))


def _round(xy: Floats, area: Any) -> Beside:
    along = chainages(xy)
    at = np.unique(np.concatenate((np.arange(0.0, along[-1], _STEP_M), along)))
    off = shapely.distance(shapely.points(points_along(xy, at)), area.boundary)
    ring = shapely.Polygon(xy).buffer(0.0)
    return Beside(0.0, float(along[-1]), "around", float(off.min()),
                  _mean(off, at), float(off.max()), float(at[np.argmin(off)]),
                  float(area.difference(ring).area), float(ring.difference(area).area))
