"""The band beside water or vegetation in which a set-back line may run, and the stretches that need a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.ops import linemerge, nearest_points, substring

from planner.alignment.setback_stem import Stem, stem_of
from planner.errors import OutOfRange
from planner.geometry.arrays import Floats
from planner.units import Metre

CLEAR_M: Metre = 0.001
"""How far candidate corners stand off the edges of the band, so that rounding cannot push them over. [m]"""

_QUARTER = 32
_TOUCH_M = 0.005
_SNAP_M = 0.02


@dataclass(frozen=True, eq=False)
class BandEnd:
    """Where a set-back line may start or end.

    Attributes:
        xy: Places in order outward from the set-back's edge; a single one when it is forced. [m] Shape (k, 2).
        closing: The way from the set-back's edge to each place runs along these corners. [m] Shape (k + 2, 2), the
            first on the set-back's edge, the second there too or where the stem starts or ends.
        exact: Places as they are to be written down, where those of ``xy`` were moved by a millimetre or so. [m]
            Shape (k, 2).
    """

    xy: Floats
    closing: Floats
    exact: Floats


@dataclass(frozen=True, eq=False)
class Stretch:
    """One stretch along features that needs one line.

    Attributes:
        bank: left, right or around.
        arc: Edge of the set-back from start to end, in the direction of the line. [m] Shape (n, 2). A closed one
            repeats its first corner.
        closed: True when the line returns to its start.
        water_on_left: True when the features lie to the left of the line.
        region: Where the line may run.
        start: Where it may start; None when closed.
        end: Where it may end; None when closed.
        inside: Land and water between the edge of the set-back and what it is counted from (the stem of a stream),
            or all inside the edge.
        baseline: The features the set-back is counted from.
    """

    bank: str
    arc: Floats
    closed: bool
    water_on_left: bool
    region: Any
    start: BandEnd | None
    end: BandEnd | None
    inside: Any
    baseline: Any


@dataclass(frozen=True)
class Wanted:
    """What is asked of a set-back line.

    Attributes:
        near_m: Least distance from the drawn features. [m]
        give_m: Width of the band. [m]
        bank: left, right, both or around.
        paddock: What the line may not leave; None when there is no such limit.
        start: Where it must start; None when free.
        end: Where it must end; None when free.
    """

    near_m: Metre
    give_m: Metre
    bank: str
    paddock: Any = None
    start: tuple[Metre, Metre] | None = None
    end: tuple[Metre, Metre] | None = None


def stretches(features: Sequence[Any], wanted: Wanted) -> tuple[Stretch, ...]:
    """The stretches that need a line, each with the region in which it may run.

    Features whose bands touch are fenced as one. Dry ground that the set-back closes in on all sides is given up.

    Args:
        features: Lines and polygons, valid, none empty. [m]
        wanted: What is asked.

    Raises:
        OutOfRange: A bank is asked of something without a direction, or a forced start or end lies outside the band.
    """
    groups = _groups(features, wanted.near_m + wanted.give_m)
    inner = [_filled(_joined(shapely.get_parts(_wide(group, wanted.near_m)))) for group in groups]
    found: list[Stretch] = []
    for group, edge in zip(groups, inner, strict=True):
        found += _of_group(group, edge, wanted)
    for place, what in ((wanted.start, "start"), (wanted.end, "end")):
        if place is not None and not any(s.closed is False and _has(getattr(s, what), place) for s in found):
            off = min(shapely.distance(shapely.Point(place), group) for group in groups)
            raise OutOfRange(
                f"the {what} asked for is {off:.2f} m from the drawn feature and not in a band from {wanted.near_m:g} "
                f"to {wanted.near_m + wanted.give_m:g} m that an open line runs along", where=f"{place[0]:.2f}, "
                f"{place[1]:.2f}", remedy="move it into the band, or give more")
    return tuple(found)


def _has(end: BandEnd | None, place: tuple[Metre, Metre]) -> bool:
    return end is not None and len(end.exact) == 1 and bool(np.allclose(end.exact[0], place, rtol=0.0, atol=1e-9))


def _wide(shape: Any, distance: Metre) -> Any:
    """All that lies within a distance; never less, by at most a few millimetres more."""
    return _reach(shape, distance / np.cos(np.pi / (4 * _QUARTER)))


def _reach(shape: Any, distance: Metre) -> Any:
    """All that lies within a distance; never more, by at most a few millimetres less.

    Leg by leg, because a buffer of a whole line first rounds off its inner bends and so reaches too far there.
    """
    legs = []
    for part in shapely.get_parts(shape):
        for line in shapely.get_parts(shapely.boundary(part) if part.geom_type == "Polygon" else part):
            xy = shapely.get_coordinates(line)
            legs.append(np.stack((xy[:-1], xy[1:]), axis=1) if len(xy) > 1 else np.stack((xy, xy), axis=1))
    wide = shapely.buffer(shapely.linestrings(np.concatenate(legs)), distance, quad_segs=_QUARTER)
    return shapely.union_all([*wide, *(p for p in shapely.get_parts(shape) if p.geom_type == "Polygon")])


def _filled(polygon: Any) -> Any:
    return shapely.Polygon(polygon.exterior)


def _groups(features: Sequence[Any], reach: Metre) -> list[Any]:
    """Features whose bands touch, together."""
    wide = shapely.buffer(np.array(features, dtype=object), reach, quad_segs=8)
    areas = list(shapely.get_parts(shapely.union_all(wide)))
    shapely.prepare(areas)
    home = [next(k for k, area in enumerate(areas) if area.intersects(feature)) for feature in features]
    return [shapely.union_all([f for f, k in zip(features, home, strict=True) if k == here])
            for here in range(len(areas))]


def _joined(parts: Sequence[Any]) -> Any:
    """Several set-back areas joined by slits across the narrowest gaps, so that one edge runs round all of them."""
    whole, rest = parts[0], list(parts[1:])
    while rest:
        nearest = min(range(len(rest)), key=lambda k: shapely.distance(whole, rest[k]))
        part = rest.pop(nearest)
        a, b = nearest_points(whole, part)
        gap = np.array([b.x - a.x, b.y - a.y])
        size = float(np.hypot(*gap))
        beyond = gap / size * CLEAR_M if size else gap
        bridge = shapely.LineString([(a.x - beyond[0], a.y - beyond[1]), (b.x + beyond[0], b.y + beyond[1])])
        whole = shapely.union_all([whole, part, shapely.buffer(bridge, CLEAR_M, cap_style="flat")])
        whole = max(shapely.get_parts(whole), key=shapely.area)
    return whole


def _of_group(group: Any, inner: Any, wanted: Wanted) -> list[Stretch]:
    outer = _reach(group, wanted.near_m + wanted.give_m)
    region = shapely.difference(outer, inner)
    if wanted.paddock is not None:
        region = shapely.intersection(region, wanted.paddock)
    ring = shapely.buffer(inner, CLEAR_M, join_style="mitre").exterior
    ring = ring if ring.is_ccw else shapely.LinearRing(ring.coords[::-1])
    if wanted.bank == "around":
        return _around(group, ring, region, wanted)
    stem = stem_of(group, ring, wanted.start, wanted.end)
    found: list[Stretch] = []
    for bank in ("left", "right") if wanted.bank == "both" else (wanted.bank,):
        found += _on_bank(group, ring, region, stem, bank, wanted)
    return found


def _around(group: Any, ring: Any, region: Any, wanted: Wanted) -> list[Stretch]:
    if wanted.paddock is None or shapely.contains_properly(wanted.paddock, ring):
        return [Stretch("around", np.array(ring.coords), True, True, _part_at(region, ring), None, None,
                        shapely.Polygon(ring), group)]
    found = []
    for arc in _pieces(ring, wanted.paddock):
        inside = shapely.intersection(shapely.Polygon(ring), wanted.paddock)
        ends = [_boundary_end(arc, side, region, wanted) for side in (0, -1)]
        found.append(Stretch("around", np.array(arc.coords), False, True, _part_at(region, arc), ends[0], ends[1],
                             _touching(inside, arc), group))
    return found


def _pieces(line: Any, paddock: Any) -> list[Any]:
    """Parts of a line inside the paddock that are more than a graze, in its direction."""
    cut = shapely.intersection(line, paddock)
    parts = [part for part in shapely.get_parts(cut) if part.geom_type == "LineString"]
    if len(parts) > 1:
        merged = linemerge(parts)
        parts = list(shapely.get_parts(merged))
    parts = [_directed(part, line) for part in parts if part.length > 0.05]
    return sorted(parts, key=lambda part: line.project(shapely.Point(part.coords[0])))


def _directed(part: Any, line: Any) -> Any:
    a, b = (line.project(part.interpolate(share, normalized=True)) for share in (0.4995, 0.5005))
    forward = b > a if abs(b - a) < line.length / 2 else b < a
    return part if forward else shapely.LineString(part.coords[::-1])


def _on_bank(group: Any, ring: Any, region: Any, stem: Stem, bank: str, wanted: Wanted) -> list[Stretch]:
    side = stem.sides[bank]
    start_wall, end_wall = (_across(wall, region) for wall in (side.start_wall, side.end_wall))
    cut = shapely.difference(region, shapely.buffer(shapely.union_all([start_wall, end_wall]), CLEAR_M / 4))
    whole, inside = side.arc, side.inside
    if wanted.start is None:
        whole, start_wall, inside = _past_pocket(whole, start_wall, inside, at=0)
    if wanted.end is None:
        whole, end_wall, inside = _past_pocket(whole, end_wall, inside, at=-1)
    pieces = [whole] if wanted.paddock is None else _pieces(whole, wanted.paddock)
    found = []
    for arc in pieces:
        own = _part_at(cut, arc)
        ends: list[BandEnd] = []
        for at, wall, forced in ((0, start_wall, wanted.start), (-1, end_wall, wanted.end)):
            tip = side.tips[at] if forced is not None else None
            is_whole_end = np.hypot(*(np.array(arc.coords[at]) - whole.coords[at])) < _TOUCH_M
            ends.append(_wall_end(arc, at, wall, own, forced, tip) if is_whole_end
                        else _boundary_end(arc, at, own, wanted))
        own_inside = inside if wanted.paddock is None else _touching(
            shapely.intersection(inside, wanted.paddock), arc)
        found.append(Stretch(bank, np.array(arc.coords), False, bank == "right", own, ends[0],
                             ends[1], own_inside, group))
    return found


def _past_pocket(arc: Any, wall: Any, inside: Any, *, at: int) -> tuple[Any, Any, Any]:
    """Arc, wall and inside without the pocket that a wall shuts off when it meets its own bank again."""
    far = shapely.Point(wall.interpolate(max(wall.length - CLEAR_M, 0.0)))
    if wall.length < 2 * CLEAR_M or shapely.distance(arc, far) > _TOUCH_M:
        return arc, wall, inside
    where = arc.project(far)
    size = where if at == 0 else arc.length - where
    if not CLEAR_M < size < arc.length / 2:
        return arc, wall, inside
    kept, shut = (substring(arc, where, arc.length), substring(arc, 0.0, where)) if at == 0 else (
        substring(arc, 0.0, where), substring(arc, where, arc.length))
    pocket = shapely.make_valid(shapely.Polygon([*shut.coords, *kept.coords[at:][:1]])) if len(
        shut.coords) > 2 else shapely.Polygon()
    foot = kept.coords[at]
    return kept, shapely.LineString([foot, wall.coords[0]]), shapely.union_all([inside, pocket])


def _across(wall: Any, region: Any) -> Any:
    """The wall from its foot to where it leaves the band, and a little on."""
    foot = shapely.Point(wall.coords[0])
    parts = [p for p in shapely.get_parts(shapely.intersection(wall, region)) if p.geom_type == "LineString"]
    parts = [p for p in parts if shapely.distance(p, foot) < _TOUCH_M]
    size = max((wall.project(shapely.Point(c)) for p in parts for c in p.coords), default=CLEAR_M)
    return substring(wall, 0.0, size + CLEAR_M)


def _part_at(region: Any, arc: Any) -> Any:
    """The part of a region that runs along an arc."""
    parts = shapely.get_parts(region)
    parts = [part for part in parts if part.geom_type == "Polygon" and shapely.dwithin(part, arc, _TOUCH_M)]
    if not parts:
        raise OutOfRange("the band leaves no room beside the set-back", remedy="give more, or a smaller set-back")
    middle = arc.interpolate(0.5, normalized=True)
    return min(parts, key=lambda part: (round(shapely.distance(part, middle), 2), -part.area))


def _touching(area: Any, arc: Any) -> Any:
    return shapely.union_all([part for part in shapely.get_parts(area) if shapely.dwithin(part, arc, 2 * _TOUCH_M)])


def _wall_end(arc: Any, at: int, wall: Any, region: Any, forced: tuple[Metre, Metre] | None,
              tip: Floats | None) -> BandEnd:
    """Places across the band where a stretch starts or ends with the feature."""
    foot = np.array(wall.coords[0])
    tip = foot if tip is None else tip
    inward = substring(arc, 0.0, 1.0) if at == 0 else substring(arc, arc.length, arc.length - 1.0)
    ahead = np.array(inward.coords[-1]) - np.array(inward.coords[0])
    out = np.array(wall.coords[-1]) - foot
    out = out / np.hypot(*out)
    along = np.array([-out[1], out[0]])
    along *= np.sign(along @ ahead) or 1.0
    if forced is not None and shapely.dwithin(region, shapely.Point(forced), _SNAP_M):
        place = np.array([forced])
        moved = _into(region, place + along * CLEAR_M)
        return BandEnd(moved, np.vstack((foot, tip, moved)), place)
    room = shapely.intersection(shapely.LineString([foot + out * CLEAR_M + along * CLEAR_M,
                                                    np.array(wall.coords[-1]) + along * CLEAR_M]), region)
    places = _samples(room, foot)
    return BandEnd(places, np.vstack((foot, tip, places)), places)


def _into(region: Any, place: Floats) -> Floats:
    """The place, moved by a few millimetres where it stands on or just outside the region's edge. Shape (1, 2)."""
    point = shapely.Point(place[0])
    edge = shapely.boundary(region)
    if region.contains(point) and shapely.distance(edge, point) >= CLEAR_M / 2:
        return place
    inside = shapely.buffer(region, -CLEAR_M)
    return np.array(nearest_points(inside, point)[0].coords)


def _boundary_end(arc: Any, at: int, region: Any, wanted: Wanted) -> BandEnd:
    """Places on the paddock's boundary where a stretch is cut off by it."""
    foot = np.array(arc.coords[at])
    forced = wanted.start if at == 0 else wanted.end
    inward = shapely.buffer(wanted.paddock, -CLEAR_M)
    room = shapely.intersection(inward.boundary, region)
    merged = linemerge([p for p in shapely.get_parts(room) if p.geom_type == "LineString"]) if room.length else room
    near = [p for p in shapely.get_parts(merged) if p.length and shapely.distance(p, shapely.Point(foot)) < 0.1]
    if not near:
        raise OutOfRange("there is no room on the boundary for the line's end", where=f"{foot[0]:.1f}, {foot[1]:.1f}",
                         remedy="give more, or name where the line is to end")
    stretch = max(near, key=shapely.length)
    if forced is not None and shapely.distance(stretch, shapely.Point(forced)) < 2 * CLEAR_M:
        place = np.array([forced])
        moved = np.array(stretch.interpolate(stretch.project(shapely.Point(forced))).coords)
        return BandEnd(_into(region, moved), np.vstack((foot, foot, moved)), place)
    places = _samples(stretch, foot)
    on = [nearest_points(wanted.paddock.boundary, shapely.Point(p))[0].coords[0] for p in places]
    return BandEnd(places, np.vstack((foot, foot, places)), np.array(on))


def _samples(room: Any, foot: Floats) -> Floats:
    """Places along a line outward from a foot, fifteen or more, its own corners among them."""
    parts = [p for p in shapely.get_parts(room) if p.geom_type == "LineString"]
    if not parts:
        raise OutOfRange("the set-back leaves no room for the line to start or end", where=f"{foot[0]:.1f}, "
                         f"{foot[1]:.1f}", remedy="give more, or name another start and end")
    line = min(parts, key=lambda part: shapely.distance(part, shapely.Point(foot)))
    if np.hypot(*(np.array(line.coords[0]) - foot)) > np.hypot(*(np.array(line.coords[-1]) - foot)):
        line = shapely.LineString(line.coords[::-1])
    if line.length > 4 * CLEAR_M:
        line = substring(line, CLEAR_M, line.length - CLEAR_M)
    return np.array(shapely.segmentize(line, max(line.length / 16, 0.01)).coords)
