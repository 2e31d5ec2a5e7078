"""The lane of a divided paddock: the strip it takes, the land on its two sides, and gates off it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely

from planner.alignment.division_fences import Land, without_crumbs
from planner.alignment.division_shapes import Part
from planner.alignment.division_sweeps import ParallelSweep, cut_at, edges_of
from planner.alignment.line import Gate
from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.geometry.lines import nearest_on, points_along
from planner.units import Degree, Metre

LaneSide = Literal["centre", "left", "right"]
GATE_WIDTH_M: Metre = 4.2
_FROM_CORNER_M: Metre = 1.0
_NEAR_M: Metre = 0.01


def lane_strip(land: Land, xy: Floats, *, width_m: Metre, lies: LaneSide) -> tuple[Land, Land, list[Floats]]:
    """The lane that a line makes through a paddock, and the lines its fences may follow.

    The line's first and last leg are run on until they leave the paddock, so that a lane ends at its edge.

    Args:
        land: The paddock.
        xy: Corners of the lane's line. [m] Shape (n, 2).
        width_m: Clear width of the lane. [m]
        lies: Whether the line is the lane's middle, or the lane lies to the left or right of it.

    Returns:
        The lane, the rest of the paddock, and the lines along the lane's left and right edge, reaching beyond the
        paddock. [m]

    Raises:
        OutOfRange: The lane is outside the paddock or takes all of it.
    """
    line = shapely.LineString(_run_on(xy, land))
    left, right = {"centre": (width_m / 2, width_m / 2), "left": (width_m, 0.0), "right": (0.0, width_m)}[lies]
    rims = [line if not off else shapely.offset_curve(line, off, join_style="mitre", mitre_limit=3.0)
            for off in (left, -right)]
    if any(rim.geom_type != "LineString" or rim.is_empty for rim in rims):
        raise OutOfRange(f"the lane bends too sharply for a width of {width_m:g} m", remedy="give it fewer bends")
    edges = [shapely.get_coordinates(rim) for rim in rims]
    band = shapely.make_valid(shapely.Polygon(np.concatenate((edges[0], edges[1][::-1]))))
    lane = without_crumbs(shapely.intersection(land, band))
    if lane.is_empty or lane.area >= 0.999 * land.area:
        raise OutOfRange("the lane is not in the paddock" if lane.is_empty else "the lane takes the whole paddock",
                         remedy="give a line through the paddock or along one of its sides, in its own grid")
    return lane, without_crumbs(shapely.difference(land, band)), edges


def sides_of(rest: Land, edges: Sequence[Floats]) -> list[Land]:
    """The land left and right of a lane.

    Args:
        rest: The paddock without the lane.
        edges: Lines along the lane's left and right edge.
    """
    pieces: list[list[shapely.Polygon]] = [[], []]
    for piece in shapely.get_parts(rest):
        spot = shapely.point_on_surface(piece)
        off = [nearest_on(edge, (float(spot.x), float(spot.y)))[1] for edge in edges]
        pieces[int(off[1] < off[0])].append(piece)
    return [without_crumbs(shapely.union_all(side)) for side in pieces]


def bearing_across(xy: Floats) -> Degree:
    """Bearing square to a lane as a whole, from its first corner to its last. [deg]

    Args:
        xy: Corners of the lane's line. [m] Shape (n, 2).

    Raises:
        OutOfRange: It ends where it starts.
    """
    east, north = xy[-1] - xy[0]
    if not np.hypot(east, north):
        raise OutOfRange("the lane ends where it starts", remedy="give a line from one side of the paddock to another")
    return float(np.degrees(np.arctan2(east, north)) - 90.0) % 180.0


def middle_lane(land: Land) -> Floats:
    """A line along a paddock's length that leaves as much land on its left as on its right. [m] Shape (2, 2).

    Args:
        land: The paddock.
    """
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(land))
    sides = np.diff(corners[:3], axis=0)
    along = sides[int(np.argmax(np.hypot(*sides.T)))]
    origin = corners.mean(axis=0)
    start, end = edges_of(land)
    sweep = ParallelSweep(start - origin, end - origin, np.degrees(np.arctan2(along[:1], along[1:])))
    at = float(cut_at(sweep, np.array([land.area / 2.0]))[0, 0])
    right, ahead = (axis[0] for axis in sweep.axes())
    return np.array([origin + at * right - ahead * np.hypot(*along) / 2, origin + at * right
                     + ahead * np.hypot(*along) / 2])


def lane_gates(parts: Sequence[Part], lane: Land, fences: Sequence[Floats], edge: shapely.Geometry,
               middle: Floats) -> tuple[tuple[Gate, ...], tuple[Gate, ...]]:
    """Gates that a lane asks for: one into each part, near the corner that comes first on the lane, and its two ends.

    Args:
        parts: The parts.
        lane: The lane.
        fences: Lane fences. [m]
        edge: The paddock's edge.
        middle: A line along the lane's middle, which tells what comes first. [m] Shape (n, 2).

    Returns:
        Gates in the lane fences, and gates in the paddock's edge at the ends of the lane.
    """
    inner: list[Gate] = []
    for part in parts:
        fronts = [(front, fence) for fence in fences for front in _fronts(part.land, fence)]
        if not fronts:
            continue
        front, _ = max(fronts, key=lambda pair: float(np.hypot(*(pair[0][-1] - pair[0][0]))))
        if nearest_on(middle, tuple(front[0]))[0] > nearest_on(middle, tuple(front[-1]))[0]:
            front = front[::-1]
        length = float(np.hypot(*np.diff(front, axis=0).T).sum())
        at = min(_NEAR_M + _FROM_CORNER_M + GATE_WIDTH_M / 2, length / 2)
        x, y = points_along(front, np.array([at]))[0]
        inner.append(Gate(f"gate {part.number}", float(x), float(y), GATE_WIDTH_M))
    return tuple(inner), _end_gates(lane, edge, middle)


def _end_gates(lane: Land, edge: shapely.Geometry, middle: Floats) -> tuple[Gate, ...]:
    """A gate where the lane's middle goes through the paddock's edge."""
    cut = shapely.intersection(shapely.LineString(middle), edge)
    spots = [shapely.get_coordinates(part).mean(axis=0) for part in shapely.get_parts(cut)]
    ends = [spot for spot in spots if shapely.distance(lane, shapely.Point(spot)) < _NEAR_M]
    ends.sort(key=lambda spot: nearest_on(middle, (float(spot[0]), float(spot[1])))[0])
    return tuple(Gate(f"lane gate {i}", float(x), float(y), GATE_WIDTH_M) for i, (x, y) in enumerate(ends, 1))


def _fronts(land: Land, fence: Floats) -> list[Floats]:
    """Stretches of a lane fence on the edge of a part."""
    on = shapely.intersection(shapely.buffer(land, _NEAR_M), shapely.LineString(fence))
    return [shapely.get_coordinates(part) for part in shapely.get_parts(shapely.line_merge(on))
            if part.geom_type == "LineString" and part.length > 1.0]


def _run_on(xy: Floats, land: Land) -> Floats:
    """The line with its ends run on until well outside the paddock."""
    if len(xy) < 2 or not np.isfinite(xy).all() or not np.hypot(*np.diff(xy, axis=0).T).all():
        raise OutOfRange("the lane is no line", remedy="give at least two different corners")
    reach = float(np.hypot(*np.ptp(shapely.get_coordinates(land), axis=0))) + 10.0
    first, last = xy[0] - xy[1], xy[-1] - xy[-2]
    return np.concatenate(([xy[0] + first / np.hypot(*first) * reach], xy[1:-1],
                           [xy[-1] + last / np.hypot(*last) * reach]))
