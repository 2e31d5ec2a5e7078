"""The stem: which way a stream runs, and where its left and its right bank start and end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.ops import linemerge, nearest_points, substring

from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.units import Metre

_FAR_M = 1e5
_SAME_M = 0.01


@dataclass(frozen=True, eq=False)
class Side:
    """One bank.

    Attributes:
        arc: Edge of the set-back along it, in the direction of the stream.
        start_wall: Line across the band at the start, from the edge outward.
        end_wall: The same at the end.
        inside: What lies between the edge of the set-back and the stem.
        tips: Where the stem starts and ends, or the shore is left.
    """

    arc: Any
    start_wall: Any
    end_wall: Any
    inside: Any
    tips: tuple[Floats, Floats]


@dataclass(frozen=True, eq=False)
class Stem:
    """Both banks by name.

    Attributes:
        sides: left and right.
    """

    sides: Mapping[str, Side]


def stem_of(group: Any, ring: Any, start: tuple[Metre, Metre] | None, end: tuple[Metre, Metre] | None) -> Stem:
    """The banks of a stream or of water with a named start and end.

    Of a network of streams the longest way along the drawn directions is the stem; what joins it is gone round.

    Args:
        group: The features.
        ring: Edge of the set-back, anticlockwise.
        start: Forced start of the line; None when the stream's own.
        end: Forced end; None when the stream's own.

    Raises:
        OutOfRange: There is nothing to tell left from right by.
    """
    lines = [part for part in shapely.get_parts(group) if part.geom_type in ("LineString", "LinearRing")]
    polygons = [part for part in shapely.get_parts(group) if part.geom_type == "Polygon"]
    if lines:
        return _of_stream(_longest(lines), ring, start, end)
    if start is None or end is None:
        raise OutOfRange("a shape without a direction has no left and right bank",
                         remedy="give a start and an end, or ask for a line around it")
    if len(polygons) != 1:
        raise OutOfRange("left and right between a start and an end are known for one water shape only",
                         remedy="give one feature, or ask for a line around them")
    return _of_water(polygons[0], ring, start, end)


def stem_line(group: Any) -> Any:
    """What distances along a feature are counted on: the stem of a stream, or the edge of the largest shape.

    Args:
        group: The features.
    """
    parts = shapely.get_parts(group)
    lines = [part for part in parts if part.geom_type in ("LineString", "LinearRing")]
    if lines:
        return _longest(lines)
    areas = [part for part in parts if part.geom_type == "Polygon"]
    return max(areas, key=shapely.area).exterior if areas else shapely.LineString([parts[0].coords[0]] * 2)


def _longest(lines: list[Any]) -> Any:
    """The longest way along the drawn directions."""
    merged = list(shapely.get_parts(linemerge(shapely.node(shapely.union_all(lines)), directed=True)))
    if len(merged) == 1:
        return merged[0]
    return _longest_way(merged)


def _longest_way(lines: list[Any]) -> Any:
    """Longest chain of lines, each starting where the one before ended; longest by repeated relaxing."""
    starts = np.array([line.coords[0] for line in lines])
    best: dict[int, tuple[float, list[int]]] = {k: (line.length, [k]) for k, line in enumerate(lines)}
    changed = True
    while changed:
        changed = False
        for k, line in enumerate(lines):
            gap = np.hypot(*(starts - np.array(line.coords[-1])).T)
            for after in np.flatnonzero(gap < _SAME_M).tolist():
                length, chain = best[after]
                if k not in chain and line.length + length > best[k][0] + 1e-9:
                    best[k] = (line.length + length, [k, *chain])
                    changed = True
    chain = max(best.values(), key=lambda way: way[0])[1]
    xy = np.concatenate([np.array(lines[k].coords)[(0 if i == 0 else 1):] for i, k in enumerate(chain)])
    return shapely.LineString(xy)


def _of_stream(stem: Any, ring: Any, start: tuple[Metre, Metre] | None,
               end: tuple[Metre, Metre] | None) -> Stem:
    xy = np.array(shapely.remove_repeated_points(stem, _SAME_M).coords)
    if len(xy) < 2 or np.hypot(*(xy[0] - xy[-1])) < _SAME_M:
        raise OutOfRange("a stream that returns to its start has no left and right bank",
                         remedy="ask for a line around it")
    reach = min(20.0, stem.length / 2)
    ahead = [np.array(stem.interpolate(reach).coords[0]) - xy[0],
             xy[-1] - np.array(stem.interpolate(stem.length - reach).coords[0])]
    sides = {}
    for bank, sign in (("left", 1.0), ("right", -1.0)):
        walls = []
        for tip, way, forced in ((xy[0], ahead[0], start), (xy[-1], ahead[1], end)):
            across = sign * np.array([-way[1], way[0]]) / np.hypot(*way)
            on_side = forced is not None and float((np.array(forced) - tip) @ across) > -reach
            walls.append(_forced_wall(ring, np.array(forced)) if forced is not None and on_side
                         else _wall(ring, tip, across))
        arc = _between(ring, walls[0], walls[1], anticlockwise=bank == "right")
        chain = np.vstack((arc.coords, walls[1].coords[0], xy[::-1], walls[0].coords[0]))
        sides[bank] = Side(arc, walls[0], walls[1], _area(chain), (xy[0], xy[-1]))
    return Stem(sides)


def _of_water(water: Any, ring: Any, start: tuple[Metre, Metre], end: tuple[Metre, Metre]) -> Stem:
    walls = [_forced_wall(ring, np.array(place)) for place in (start, end)]
    shore = water.exterior if water.exterior.is_ccw else shapely.LinearRing(water.exterior.coords[::-1])
    feet = [shore.interpolate(shore.project(shapely.Point(wall.coords[0]))) for wall in walls]
    sides = {}
    for bank in ("left", "right"):
        anticlockwise = bank == "right"
        arc = _between(ring, walls[0], walls[1], anticlockwise=anticlockwise)
        edge = _stretch(shore, shore.project(feet[0]), shore.project(feet[1]), anticlockwise=anticlockwise)
        sides[bank] = Side(arc, walls[0], walls[1], _area(np.vstack((arc.coords, edge.coords[::-1]))),
                           (np.array(feet[0].coords[0]), np.array(feet[1].coords[0])))
    return Stem(sides)


def _area(xy: Floats) -> Any:
    area = shapely.make_valid(shapely.Polygon(xy))
    return shapely.union_all([part for part in shapely.get_parts(area) if part.geom_type.endswith("Polygon")])


def _wall(ring: Any, tip: Floats, across: Floats) -> Any:
    """From where a ray leaves the set-back outward."""
    ray = shapely.LineString([tip, tip + across * _FAR_M])
    held = [part for part in shapely.get_parts(shapely.intersection(ray, shapely.Polygon(ring)))
            if part.geom_type == "LineString"]
    first = min(held, key=lambda part: shapely.distance(part, shapely.Point(tip)))
    foot = max((np.array(c) for c in first.coords), key=lambda c: float((c - tip) @ across))
    return shapely.LineString([foot, foot + across * _FAR_M])


def _forced_wall(ring: Any, place: Floats) -> Any:
    foot, _ = nearest_points(ring, shapely.Point(place))
    base = np.array(foot.coords[0])
    out = place - base
    if np.hypot(*out) < 0.05:  # on the edge itself: square to it
        at = ring.project(foot)
        ahead = np.array(ring.interpolate(at + 0.01).coords[0]) - np.array(ring.interpolate(at - 0.01).coords[0])
        out = np.array([ahead[1], -ahead[0]])
    return shapely.LineString([base, base + out / np.hypot(*out) * _FAR_M])


def _between(ring: Any, start_wall: Any, end_wall: Any, *, anticlockwise: bool) -> Any:
    at = [ring.project(shapely.Point(wall.coords[0])) for wall in (start_wall, end_wall)]
    return _stretch(ring, at[0], at[1], anticlockwise=anticlockwise)


def _stretch(ring: Any, start: Metre, end: Metre, *, anticlockwise: bool) -> Any:
    """Part of an anticlockwise ring from one distance to another."""
    if not anticlockwise:
        return shapely.LineString(_stretch(ring, end, start, anticlockwise=True).coords[::-1])
    if start < end:
        return substring(ring, start, end)
    parts = [np.array(substring(shapely.LineString(ring.coords), a, b).coords)
             for a, b in ((start, ring.length), (0.0, end)) if b - a > 1e-9]
    return shapely.LineString(np.concatenate([parts[0], *(part[1:] for part in parts[1:])]))
