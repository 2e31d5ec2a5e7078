"""The shapes of paddocks and lanes: long and thin, with pockets, too narrow to drove."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
import shapely

from planner.findings import Finding, Place
from planner.geometry.arrays import Floats
from planner.sources import Source
from planner.surroundings.faces import SNAP_M
from planner.surroundings.paddock_checks import names_of, one_by_one, place_of
from planner.surroundings.paddocks import Land, Paddock, land_of
from planner.surroundings.situation import Situation
from planner.units import Degree, Metre

RULES = {
    "paddock-10": "a paddock is not long and thin",
    "paddock-11": "no corner between two fences is a pocket that stock jam in",
    "paddock-12": "a lane is wide enough to drove in",
}
LONG_AND_THIN = 4.0
ACUTE_DEG: Degree = 60.0
"""As at the corners of one line. Common practice, no source."""
LANE_M: Metre = 5.0
SCOTT = Source("D. Scott, Consideration of paddock shape and access in subdivision fencing, New Zealand Grassland "
               "Association", place="a quarter more fence than a square at 4 to 1")
_SLACK = 1e-6
_STRAIGHT_M: Metre = 0.5
_TIGHT_M: Metre = 0.01


def check_shapes(situation: Situation) -> list[Finding]:
    """What about the shapes of paddocks and lanes is worth a look. Silent about land that is shut off.

    Args:
        situation: The situation.

    Source:
        Long and thin: ``SCOTT``. Pockets below 60 deg and lanes of at least 5 m: common practice, no source.
    """
    if not situation.lines:
        return []
    land = land_of(situation)
    return [*_thin(land), *_pockets(land, situation), *_narrow_lanes(land)]


def _severe(paddock: Paddock) -> bool:
    return paddock.stock == "horses"


def _thin(land: Land) -> Iterator[Finding]:
    said = [(p, f"{p.long_over_wide:.1f} times as long as wide") for p in land.paddocks
            if p.use == "stock" and p.long_over_wide > LONG_AND_THIN + _SLACK]
    remedy = "Turn the dividing fences the other way, where water and gates allow it."
    yield from one_by_one(
        said, lambda paddock, words: Finding(
            "paddock-10", "warning" if _severe(paddock) else "note", f"'{paddock.name}': {words}, over "
            f"{LONG_AND_THIN:g}; it takes more fence than a squarer one, and its far end is grazed less.", remedy,
            place_of(paddock), SCOTT),
        lambda several: Finding(
            "paddock-10", "warning" if any(_severe(p) for p, _ in several) else "note",
            f"Long and thin: {len(several)} paddocks, {names_of([p for p, _ in several])}, are more than "
            f"{LONG_AND_THIN:g} times as long as wide.", remedy, place_of(several[0][0]), SCOTT))


class _Corner(NamedTuple):
    """A corner of a paddock."""

    x: Metre
    y: Metre
    inner_deg: Degree


def _pockets(land: Land, situation: Situation) -> Iterator[Finding]:
    stock = [paddock for paddock in land.paddocks if paddock.use != "shut off"]
    if not stock:
        return
    sharp = _sharp_corners(np.array([paddock.shape for paddock in stock], dtype=object))
    if not sharp:
        return
    spots = np.array([(corner.x, corner.y) for _, corner in sharp])
    between = ~_told_already(situation, spots) & _at_a_line(situation, spots)
    mine: dict[int, list[_Corner]] = {}
    for (number, corner), holds in zip(sharp, between.tolist(), strict=True):
        if holds:
            mine.setdefault(number, []).append(corner)
    for number, corners in mine.items():
        paddock, worst = stock[number], min(corners, key=lambda corner: corner.inner_deg)
        many = "a corner" if len(corners) == 1 else f"{len(corners)} corners, the sharpest"
        yield Finding(
            "paddock-11", "warning" if _severe(paddock) else "note", f"'{paddock.name}': {many} of "
            f"{worst.inner_deg:.0f} deg where fences meet at {worst.x:.0f}, {worst.y:.0f}, less than {ACUTE_DEG:g}: "
            "stock jam there and horses are cornered.", "Cut the corner off with a short side, or move a line.",
            Place(x=round(worst.x, 2), y=round(worst.y, 2)))


def _sharp_corners(shapes: Any) -> list[tuple[int, _Corner]]:
    """Corners of some faces that are sharper than ``ACUTE_DEG`` on the side of their land, with the face's number."""
    simple = shapely.orient_polygons(shapely.simplify(shapes, _STRAIGHT_M))  # so that land lies on the left
    rings, of_face = shapely.get_rings(simple, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    starts = np.flatnonzero(np.concatenate(([True], ring[1:] != ring[:-1])))
    lasts = np.concatenate((starts[1:], [len(xy)])) - 1
    before = np.arange(len(xy)) - 1
    before[starts] = lasts - 1  # the last corner of a ring is its first again
    at = np.delete(np.arange(len(xy)), lasts)
    inner = np.degrees(_turned(xy[at + 1] - xy[at], xy[before[at]] - xy[at])) % 360.0
    return [(int(of_face[ring[at[k]]]), _Corner(float(xy[at[k], 0]), float(xy[at[k], 1]), float(inner[k])))
            for k in np.flatnonzero(inner < ACUTE_DEG - _SLACK).tolist()]


def _turned(one: Floats, other: Floats) -> Floats:
    """Angle from one direction to another, left positive. [rad]"""
    return np.asarray(np.arctan2(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], (one * other).sum(axis=1)))


def _told_already(situation: Situation, spots: Floats) -> Any:
    """Whether a line turns as sharply at each place itself: its own check speaks of that corner."""
    own: list[Floats] = []
    for planned in situation.lines:
        xy = planned.line.xy[:, :2]
        if len(xy) > 2:
            ring = np.concatenate((xy[-2:-1], xy)) if planned.line.closed else xy
            inner = np.abs(np.degrees(_turned(ring[:-2] - ring[1:-1], ring[2:] - ring[1:-1])))
            own.append(ring[1:-1][inner < ACUTE_DEG])
    known = np.concatenate(own) if own else np.zeros((0, 2))
    if not len(known):
        return np.zeros(len(spots), dtype=bool)
    from scipy.spatial import cKDTree

    return np.isfinite(cKDTree(known).query(spots, distance_upper_bound=2.0 * SNAP_M)[0])


def _at_a_line(situation: Situation, spots: Floats) -> Any:
    at = np.zeros(len(spots), dtype=bool)
    which, _ = shapely.STRtree(situation.shapes).query(shapely.points(spots), predicate="dwithin",
                                                       distance=2.0 * SNAP_M)
    at[which] = True
    return at


def _narrow_lanes(land: Land) -> Iterator[Finding]:
    for paddock in land.paddocks:
        if paddock.use == "lane" and not _fits(paddock.shape, LANE_M - _TIGHT_M):
            yield Finding(
                "paddock-12", "warning", f"'{paddock.name}': the lane narrows to {narrowest(paddock.shape):.1f} m; "
                f"stock are droved in lanes of at least {LANE_M:g} m.", "Move one of its fences out.",
                place_of(paddock))


def narrowest(lane: Any) -> Metre:
    """Width at which a lane falls to pieces or vanishes when it is drawn in from all sides. [m]

    Args:
        lane: Its outline.
    """
    low, high = 0.0, LANE_M
    while high - low > _TIGHT_M:
        middle = (low + high) / 2.0
        low, high = (middle, high) if _fits(lane, middle) else (low, middle)
    return (low + high) / 2.0


def _fits(lane: Any, width_m: Metre) -> bool:
    """Whether something as wide gets from everywhere in a lane to everywhere."""
    left = shapely.buffer(lane, -width_m / 2.0, join_style="mitre")
    return not left.is_empty and left.geom_type == "Polygon"
