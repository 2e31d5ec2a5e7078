"""Dividing a paddock: equal or given areas by parallel fences, by fences from a water point, or off a lane."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
import shapely

from planner.alignment.division_fences import Land, line_across, pieces_inside, ray, strips, wedges
from planner.alignment.division_lane import LaneSide, bearing_across, lane_gates, lane_strip, sides_of
from planner.alignment.division_shapes import Part, check_parts, part_of
from planner.alignment.division_sweeps import ParallelSweep, TurningSweep, cut_at, edges_of, least
from planner.alignment.line import Gate
from planner.errors import OutOfRange
from planner.findings import Finding
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.units import HECTARE_M2, Degree, Metre, SquareMetre

SAME_M2: SquareMetre = 1.0
"""How well given areas must sum to the paddock's. [m2]"""
_ON_CORNER_M, _MOST_PARTS = 2e-5, 100


@dataclass(frozen=True, slots=True)
class Parallel:
    """Parallel fences.

    Attributes:
        bearing_deg: Their bearing, clockwise from grid north; ``best`` for the one of least new fence. [deg] The parts
            follow each other to its right.
    """

    bearing_deg: Degree | Literal["best"] = "best"


@dataclass(frozen=True, slots=True)
class Radiating:
    """Fences from a point, such as a trough. The parts follow each other clockwise.

    Attributes:
        x: East of the point: inside the paddock, on its edge, in a hole or outside. [m]
        y: North of it. [m]
        first_deg: Bearing of the first fence where the paddock lies all round the point; None for least new fence.
            [deg]
    """

    x: Metre
    y: Metre
    first_deg: Degree | None = None


@dataclass(frozen=True, eq=False)
class OffLane(SameByValue):
    """A lane right through the paddock or along one side, and parallel fences off it.

    The parts on the lane's left come first, then those on its right, each side in the order along the lane.

    Attributes:
        xy: Corners of the lane's line; it is run on to the paddock's edge. [m] Shape (n, 2).
        width_m: Clear width of the lane. [m]
        lies: Whether the line is the lane's middle, or the lane lies to the left or the right of it.
        left_parts: How many parts lie left of the lane; None to share them out by area.
        bearing_deg: Bearing of the fences off the lane; None for square to the lane as a whole. [deg]
    """

    xy: Floats
    width_m: Metre
    lies: LaneSide = "centre"
    left_parts: int | None = None
    bearing_deg: Degree | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "xy", frozen(self.xy))


How: TypeAlias = Parallel | Radiating | OffLane


@dataclass(frozen=True, eq=False)
class Division(SameByValue):
    """A divided paddock.

    Attributes:
        parts: The parts, in order.
        fences: New fences, each once however many parts it bounds: lane fences first, then those between parts.
            Each of shape (n, 2), its ends on the paddock's edge, on another new fence or at the point. [m]
        new_fence_m: Their length together. [m]
        bearing_deg: Bearing of the parallel fences, or of the first from a point. [deg] None where each side of a lane
            has none.
        lane: The lane; None without one.
        lane_fences: How many of the fences are the lane's.
        gates: Gates proposed in the lane's fences, one a part.
        end_gates: Gates proposed in the paddock's edge at the ends of the lane.
        findings: What is worth a look about the parts.
        from_point: Whether the fences run from a point.
    """

    parts: tuple[Part, ...]
    fences: tuple[Floats, ...]
    new_fence_m: Metre
    bearing_deg: Degree | None
    lane: Land | None = None
    lane_fences: int = 0
    gates: tuple[Gate, ...] = ()
    end_gates: tuple[Gate, ...] = ()
    findings: tuple[Finding, ...] = ()
    from_point: bool = False


@dataclass(frozen=True)
class _Cuts:
    lands: list[Land]
    wanted: Floats
    fences: list[Floats]
    bearing_deg: Degree | None
    lane: Land | None = None
    rims: tuple[Floats, ...] = ()


def divide_paddock(boundary: shapely.Polygon, *, parts: int = 2, areas_ha: Sequence[float | None] | None = None,
                   how: How = Parallel(), waters: Mapping[str, tuple[Metre, Metre]] | None = None,
                   gates: Mapping[str, tuple[Metre, Metre]] | None = None) -> Division:
    """Divides a paddock into parts of equal or given areas, each within a square metre.

    Areas are those on the working grid. Off a lane, equal parts are equal on each side of it.

    Args:
        boundary: The paddock in the working grid, with its holes. [m]
        parts: How many equal parts; not looked at when areas are given.
        areas_ha: Area of each part, in order; one of them may be None and takes the rest. [ha]
        how: Parallel fences, fences from a point, or fences off a lane.
        waters: Name to position of water points and troughs. [m]
        gates: Name to position of gates that stand or are planned; those proposed at a lane count as well. [m]

    Raises:
        OutOfRange: The paddock crosses itself; the areas do not sum to it; the lane is not in it; or too many parts.

    Source:
        Areas behind each fence are exact; the best bearing is searched from every half degree and every edge's own
        bearing. Checked in tests/validation/test_open_paddocks.py on 200 open paddocks.

    Example:
        >>> division = divide_paddock(shapely.box(0.0, 0.0, 300.0, 100.0), parts=3)
        >>> round(division.new_fence_m, 3), [round(part.area_m2, 3) for part in division.parts]
        (200.0, [10000.0, 10000.0, 10000.0])
    """
    land, origin = _land_of(boundary)
    if isinstance(how, OffLane):
        cuts = _off_lane(land, how.xy - origin, how, parts, areas_ha)
    else:
        wanted = _wanted(float(land.area), parts, areas_ha)
        cuts = (_parallel(land, wanted, how.bearing_deg) if isinstance(how, Parallel)
                else _radiating(land, wanted, np.array([how.x, how.y]) - origin, how.first_deg))
    return _told(cuts, land, origin, waters or {}, gates or {}, how)


def _told(cuts: _Cuts, land: Land, origin: Floats, waters: Mapping[str, tuple[Metre, Metre]],
          gates: Mapping[str, tuple[Metre, Metre]], how: How) -> Division:
    """The division in the working grid, with its facts and findings."""
    edge = shapely.boundary(_back(land, origin))
    fences = tuple(frozen(xy + origin) for xy in (*cuts.rims, *cuts.fences))
    lane = None if cuts.lane is None else _back(cuts.lane, origin)
    lands = [_back(piece, origin) for piece in cuts.lands]
    inner: tuple[Gate, ...] = ()
    ends: tuple[Gate, ...] = ()
    if lane is not None and isinstance(how, OffLane):
        bare = [part_of(i, piece, 0.0, {}, {}) for i, piece in enumerate(lands, 1)]
        middle = shapely.get_coordinates(shapely.offset_curve(
            shapely.LineString(how.xy), {"centre": 0.0, "left": how.width_m / 2, "right": -how.width_m / 2}[how.lies],
            join_style="mitre"))
        inner, ends = lane_gates(bare, lane, fences[:len(cuts.rims)], edge, _long(middle, edge))
    known = {**gates, **{gate.name: (gate.x, gate.y) for gate in (*inner, *ends)}}
    parts = tuple(part_of(i, piece, float(area), waters, known)
                  for i, (piece, area) in enumerate(zip(lands, cuts.wanted, strict=True), 1))
    return Division(parts, fences, float(sum(np.hypot(*np.diff(xy, axis=0).T).sum() for xy in fences)),
                    cuts.bearing_deg, lane, len(cuts.rims), inner, ends,
                    tuple(check_parts(parts, lane=lane, waters=waters, gates=known)),
                    isinstance(how, Radiating))


def _land_of(boundary: shapely.Polygon) -> tuple[Land, Floats]:
    """The paddock near the origin, where its areas are exact, and where that origin lies."""
    if boundary.geom_type != "Polygon" or boundary.is_empty:
        raise OutOfRange("a paddock is one closed ring", remedy="give one polygon")
    if not np.isfinite(shapely.get_coordinates(boundary)).all() or not boundary.is_valid:
        why = shapely.is_valid_reason(boundary).split("[")[0].lower()
        raise OutOfRange(f"the paddock's outline cannot be used ({why})", remedy="mend the outline")
    origin = np.rint(shapely.get_coordinates(boundary.centroid)[0])
    return shapely.transform(shapely.force_2d(boundary), lambda xy: xy - origin), origin


def _back(shape: Land, origin: Floats) -> Land:
    return shapely.transform(shape, lambda xy: xy + origin)


def _wanted(whole: SquareMetre, parts: int, areas_ha: Sequence[float | None] | None) -> Floats:
    """Area of each part. [m2]"""
    count = parts if areas_ha is None else len(areas_ha)
    if not 2 <= count <= _MOST_PARTS:
        raise OutOfRange(f"a paddock is divided into 2 to {_MOST_PARTS} parts, not {count}",
                         remedy="give another number of parts")
    if areas_ha is None:
        return np.full(count, whole / count)
    given = np.array([np.nan if area is None else area * HECTARE_M2 for area in areas_ha])
    open_ = np.isnan(given)
    if open_.sum() == 1:
        given[open_] = whole - np.nansum(given)
    if not (given > 0.0).all() or abs(given.sum() - whole) > SAME_M2:
        raise OutOfRange(
            f"the areas {', '.join('rest' if a is None else f'{a:g}' for a in areas_ha)} ha do not make up the "
            f"{whole / HECTARE_M2:.4f} ha to be divided", remedy="change them, or let one of them be the rest")
    return np.asarray(given * (whole / given.sum()))


def _parallel(land: Land, wanted: Floats, bearing: Degree | Literal["best"]) -> _Cuts:
    start, end = edges_of(land)
    behind = np.cumsum(wanted)[:-1]
    if bearing == "best":
        bearing = _best_bearing(start, end, behind, equal=bool(np.ptp(wanted) <= 1e-9 * wanted.max()))
    sweep = ParallelSweep(start, end, np.array([float(bearing)]))
    at, across = cut_at(sweep, behind)[0], sweep.across(start)[0]
    nearest = across[np.abs(at[:, None] - across).argmin(axis=1)]
    at = np.where(np.abs(at - nearest) <= _ON_CORNER_M, nearest, at)
    axes = (sweep.axes()[0][0], sweep.axes()[1][0])
    fences = [piece for s in at for piece in pieces_inside(land, line_across(land, axes, float(s)))]
    return _Cuts(strips(land, axes, at), wanted, fences, float(bearing))


def _best_bearing(start: Floats, end: Floats, behind: Floats, *, equal: bool) -> Degree:
    """The bearing of least new fence. Unequal parts may follow each other either way."""
    def fence(bearings: Floats) -> Floats:
        sweep = ParallelSweep(start, end, bearings)
        return np.asarray(sweep.fence(cut_at(sweep, behind)).sum(axis=1))

    period = 180.0 if equal else 360.0
    step = end - start
    edges = np.degrees(np.arctan2(step[:, 0], step[:, 1]))
    among = np.concatenate((np.arange(0.0, period, 0.5), edges, edges + 180.0))
    return least(fence, among, period=period, room=len(start) * len(behind))[0]


def _radiating(land: Land, wanted: Floats, point: Floats, first: Degree | None) -> _Cuts:
    land = shapely.transform(land, lambda xy: xy - point)
    start, end = edges_of(land)
    gap = _open_bearing(start, end)
    behind = np.cumsum(wanted)[:-1]
    if gap is None and first is None:
        def fence(bearings: Floats) -> Floats:
            sweep = TurningSweep(start, end, np.radians(bearings))
            rays = np.column_stack((np.zeros(len(bearings)), cut_at(sweep, behind)))
            return np.asarray(sweep.fence(rays).sum(axis=1))

        corners = np.degrees(np.arctan2(start[:, 0], start[:, 1]))
        first, _ = least(fence, np.concatenate((np.arange(0.0, 360.0, 0.5), corners)), period=360.0,
                         room=3 * len(start) * len(wanted))
    first_rad = gap if gap is not None else float(np.radians(first or 0.0))
    at = first_rad + cut_at(TurningSweep(start, end, np.array([first_rad])), behind)[0]
    rays = [*at] if gap is not None else [first_rad, *at]
    fences = [piece + point for b in rays for piece in pieces_inside(land, ray(land, float(b)))]
    lands = wedges(land, [first_rad, *at, first_rad + 2 * np.pi])
    return _Cuts([shapely.transform(piece, lambda xy: xy + point) for piece in lands], wanted, fences,
                 float(np.degrees(rays[0])) % 360.0)


def _open_bearing(start: Floats, end: Floats) -> float | None:
    """The middle of the widest gap between bearings at which the paddock is seen from the origin. [rad]"""
    far = start[np.hypot(*start.T) > 1e-6]
    turns = np.unique(np.remainder(np.arctan2(far[:, 0], far[:, 1]), 2 * np.pi))
    wide = np.diff(np.append(turns, turns[0] + 2 * np.pi))
    middles = turns + wide / 2
    seen = TurningSweep(start, end, middles).behind(np.zeros((len(middles), 1)))[1][:, 0]
    unseen = np.flatnonzero((seen <= 1e-9) & (wide > 1e-9))
    return float(middles[unseen[np.argmax(wide[unseen])]]) if len(unseen) else None


def _off_lane(land: Land, xy: Floats, how: OffLane, parts: int, areas_ha: Sequence[float | None] | None) -> _Cuts:
    if not how.width_m > 0.0:
        raise OutOfRange("a lane has a width", where=f"{how.width_m:g} m", remedy="give its clear width in metres")
    lane, rest, edges = lane_strip(land, xy, width_m=how.width_m, lies=how.lies)
    sides = sides_of(rest, edges)
    rims = tuple(piece for edge in edges for piece in pieces_inside(land, edge))
    bearing = bearing_across(xy) if how.bearing_deg is None else how.bearing_deg
    ahead = float((xy[-1] - xy[0]) @ np.array([np.cos(np.radians(bearing)), -np.sin(np.radians(bearing))]))
    bearing = (bearing if ahead >= 0.0 else bearing + 180.0) % 360.0
    areas = [float(side.area) for side in sides]
    done = []
    for side, wanted in zip(sides, _shared_out(areas, how.left_parts, parts, areas_ha), strict=True):
        if len(wanted) > 1:
            done.append(_parallel(side, wanted, bearing))
        elif len(wanted):
            done.append(_Cuts([side], wanted, [], None))
    return _Cuts([piece for cut in done for piece in cut.lands], np.concatenate([cut.wanted for cut in done]),
                 [fence for cut in done for fence in cut.fences], bearing, lane, rims)


def _shared_out(areas: Sequence[SquareMetre], left: int | None, parts: int,
                areas_ha: Sequence[float | None] | None) -> list[Floats]:
    """Areas of the parts left of the lane and right of it. [m2]"""
    count = parts if areas_ha is None else len(areas_ha)
    most = [count if area > 0.0 else 0 for area in areas]
    if left is None:
        left = min(most[0], max(count - most[1], round(count * areas[0] / sum(areas))))
        if min(areas) > 0.0:
            left = min(max(left, 1), count - 1)
    numbers = [left, count - left]
    for number, area, side in zip(numbers, areas, ("left", "right"), strict=True):
        if (number > 0) != (area > 0.0) or number < 0:
            raise OutOfRange(f"{number} parts cannot lie {side} of the lane, where there are "
                             f"{area / HECTARE_M2:.2f} ha", remedy="share the parts out otherwise")
    given = [None, None] if areas_ha is None else [areas_ha[:left], areas_ha[left:]]
    return [_one_side(area, number, wanted) for area, number, wanted in zip(areas, numbers, given, strict=True)]


def _one_side(area: SquareMetre, number: int, wanted: Sequence[float | None] | None) -> Floats:
    if number > 1:
        return _wanted(area, number, wanted)
    if wanted and wanted[0] is not None and abs(wanted[0] * HECTARE_M2 - area) > SAME_M2:
        raise OutOfRange(f"the area {wanted[0]:g} ha does not make up the {area / HECTARE_M2:.4f} ha on its side of "
                         "the lane", remedy="change it, or let it be the rest")
    return np.full(number, area)


def _long(middle: Floats, edge: shapely.Geometry) -> Floats:
    """A line run on at both ends until beyond the paddock."""
    reach = float(np.hypot(*np.ptp(shapely.get_coordinates(edge), axis=0))) + 10.0
    first, last = middle[0] - middle[1], middle[-1] - middle[-2]
    return np.concatenate(([middle[0] + first / np.hypot(*first) * reach], middle[1:-1],
                           [middle[-1] + last / np.hypot(*last) * reach]))


__all__ = ["Division", "OffLane", "Parallel", "Part", "Radiating", "divide_paddock"]
