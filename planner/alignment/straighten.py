"""Straightening a traced line: the fewest corners within a tolerance of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, Integers, SameByValue, frozen
from planner.geometry.lines import chainages, repeated
from planner.geometry.visibility_graph import Graph, TurnPrice, cheapest_way
from planner.units import Metre

_SLACK = 1e-9
_ROUND = np.radians(np.arange(0.0, 360.0, 45.0))
_SHIFTS = np.concatenate((np.zeros((1, 2)), *(
    r * np.column_stack((np.cos(_ROUND), np.sin(_ROUND))) for r in (0.5, 1.0 - 1e-9))))
_FREE = TurnPrice(0.0, 0.0, 180.0, 180.0)


@dataclass(frozen=True, eq=False)
class Straightened(SameByValue):
    """A straightened line beside the traced one.

    Attributes:
        xy: Corners. [m] Shape (n, 2). A closed line repeats its first.
        corners_saved: How many corners fewer it has.
        metres_added: How much longer it is; below 0 when shorter. [m]
        greatest_shift_m: Greatest distance between the two lines, either way. [m]
    """

    xy: Floats
    corners_saved: int
    metres_added: Metre
    greatest_shift_m: Metre


def straighten(xy: Floats, *, tolerance_m: Metre, fixed: Sequence[int] = ()) -> Straightened:
    """The line of fewest corners that stays within a tolerance of a traced line, and the traced line of it.

    New corners are chosen among the traced ones and sixteen places round each, half the tolerance and the tolerance
    away. Over these the number of corners is the least possible, and among lines of as many corners the length is the
    least. Every leg keeps to its own part of the traced line, so that a loop is not cut off by a short way across.
    The two ends and the corners marked fixed stay where they are; a closed line (first corner repeated at the end)
    without fixed ones keeps one of its traced corners, the best.

    Args:
        xy: Traced corners. [m] Shape (n, 2), n >= 2.
        tolerance_m: Greatest distance between the two lines, either way. [m] 0 or more.
        fixed: Index of each corner that must stay.

    Raises:
        OutOfRange: Fewer than two different corners, a tolerance below 0, or a fixed corner that is not there.

    Source:
        Shortest path over the legs that stay in the tolerance, as Imai and Iri, Polygonal approximations of a curve,
        1988, with places beside the corners. Checked in tests/unit/alignment/test_straighten.py against a search over
        all chains.

    Example:
        >>> traced = np.array([[0.0, 0.0], [50.0, 0.4], [95.0, 0.0], [100.0, 5.0], [100.0, 90.0]])
        >>> straighten(traced, tolerance_m=5.0).xy.round(2).tolist()
        [[0.0, 0.0], [95.0, 5.0], [100.0, 90.0]]
    """
    line = np.asarray(xy, dtype=float)[:, :2]
    if len(line) < 2 or not np.isfinite(line).all() or repeated(line)[1:].all():
        raise OutOfRange("a line needs two different corners to be straightened", remedy="draw it again")
    if not (np.isfinite(tolerance_m) and tolerance_m >= 0):
        raise OutOfRange(f"a tolerance of {tolerance_m:g} m cannot be used", remedy="give 0 or more")
    for index in fixed:
        if not -len(line) <= index < len(line):
            raise OutOfRange(f"there is no corner {index} to keep", remedy=f"the line has {len(line)}")
    keep = ~repeated(line)
    marks = np.zeros(len(line), dtype=np.bool_)
    marks[list(fixed)] = True
    marks = np.maximum.reduceat(marks, np.flatnonzero(keep))
    line = line[keep]
    closed = len(line) > 3 and bool((line[0] == line[-1]).all())
    new = _closed(line, marks, tolerance_m) if closed else _open(line, marks, tolerance_m)
    length = float(chainages(new)[-1] - chainages(line)[-1])
    return Straightened(frozen(new), len(line) - len(new), length, _apart(line, new))


def _apart(a: Floats, b: Floats) -> Metre:
    import shapely

    lines = shapely.linestrings(a), shapely.linestrings(b)
    return float(shapely.hausdorff_distance(*lines, densify=0.05))


def _open(line: Floats, marks: Booleans, tolerance: Metre) -> Floats:
    marks = marks.copy()
    marks[[0, -1]] = True
    stops = np.flatnonzero(marks)
    parts = [_between(line[a:b + 1], tolerance) for a, b in pairwise(stops)]
    return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])


def _closed(line: Floats, marks: Booleans, tolerance: Metre) -> Floats:
    ring, marks = line[:-1], marks[:-1] | np.concatenate((marks[-1:], np.zeros(len(marks) - 2, dtype=np.bool_)))
    if marks.any():
        first = int(marks.argmax())
        turned = np.roll(ring, -first, axis=0)
        return _open(np.concatenate((turned, turned[:1])), np.append(np.roll(marks, -first), True), tolerance)
    count = len(ring)
    twice = np.concatenate((ring, ring))
    reach = 1
    while reach < count and _may_reach(ring[0], twice[1:reach + 2], tolerance):
        reach += 1
    graph, of = _legs(twice, tolerance, longest=count - 1)
    best: tuple[float, Floats] | None = None
    for start in range(min(reach + 1, count)):
        cost, way = _way(graph, of, len(_SHIFTS) * start, len(_SHIFTS) * (start + count))
        if len(way) >= 4 and (best is None or cost < best[0]):
            best = (cost, way)
    return line if best is None else best[1]


def _may_reach(start: Floats, points: Floats, tolerance: Metre) -> bool:
    """Whether one leg from near a corner could pass all of some points: never False where it could."""
    step = points[-1] - start
    size = float(np.hypot(*step))
    if size <= 4 * tolerance:
        return bool((np.hypot(*(points - start).T) <= 8 * tolerance).all())
    off = np.abs((points - start) @ np.array([-step[1], step[0]])) / size
    return bool((off <= 4 * tolerance).all())


def _between(line: Floats, tolerance: Metre) -> Floats:
    graph, of = _legs(line, tolerance, longest=len(line))
    _, way = _way(graph, of, 0, len(_SHIFTS) * (len(line) - 1))
    return way


def _way(graph: Graph, of: Integers, start: int, end: int) -> tuple[float, Floats]:
    """The way of fewest legs, then least length, between two of the places."""
    first, last = int(np.searchsorted(of, start)), int(np.searchsorted(of, end))
    a, b = np.searchsorted(graph.tail, [first, last])
    tail, head = graph.tail[a:b] - first, graph.head[a:b] - first
    part = Graph(graph.xy[first:last + 1], tail[head <= last - first], head[head <= last - first])
    free = np.full(len(part.xy), np.inf)
    start_cost, end_cost = free.copy(), free.copy()
    start_cost[0], end_cost[-1] = 0.0, 0.0
    lengths = part.lengths()
    many = 4.0 * float(np.abs(np.diff(graph.xy, axis=0)).sum()) + 1.0
    way = cheapest_way(part, many + lengths, _FREE, start_cost=start_cost, end_cost=end_cost)
    return way.cost, part.xy[list(way.places)]


def _legs(line: Floats, tolerance: Metre, *, longest: int) -> tuple[Graph, Integers]:
    """Places beside each corner, and the legs between them that keep within the tolerance; and which place is which.

    The first and the last corner are themselves only.
    """
    shifts = _SHIFTS * tolerance if tolerance > 0 else _SHIFTS[:1]
    places = line[:, None, :] + shifts
    tails, heads = [], []
    width = len(_SHIFTS)
    for at in range(len(line) - 1):
        for which in range(len(shifts)):
            if at == 0 and which:
                break
            corner, place = _from(places[at, which], line, at, places, tolerance, longest)
            tails.append(np.full(len(corner), at * width + which))
            heads.append(corner * width + place)
    tail, head = np.concatenate(tails), np.concatenate(heads)
    last = (len(line) - 1) * width
    kept = head <= last
    tail, head = tail[kept], head[kept]
    of = (np.arange(len(line))[:, None] * width + np.arange(len(shifts))).reshape(-1)
    xy = places.reshape(-1, 2)
    order = np.lexsort((head, tail))
    return Graph(xy, np.searchsorted(of, tail[order]), np.searchsorted(of, head[order])), of


def _from(start: Floats, line: Floats, at: int, places: Floats, tolerance: Metre,
          longest: int) -> tuple[Integers, Integers]:
    """Which places a leg from one place can end at."""
    ahead = line[at + 1:at + 1 + longest] - start
    away = np.hypot(ahead[:, 0], ahead[:, 1])
    direction = np.arctan2(ahead[:, 1], ahead[:, 0])
    far = away > tolerance
    reference = direction[int(far.argmax())] if far.any() else 0.0
    turned = np.remainder(direction - reference + np.pi, 2 * np.pi) - np.pi
    half = np.where(far, np.arcsin(np.minimum(1.0, tolerance / np.where(far, away, 1.0))), np.pi) + 1e-9
    low = np.maximum.accumulate(np.where(far, turned - half, -np.pi))
    high = np.minimum.accumulate(np.where(far, turned + half, np.pi))
    closed = low > high
    count = int(closed.argmax()) if closed.any() else len(ahead)
    if count == 0:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    ends = places[at + 1:at + 1 + count]
    step = ends - start
    way = np.remainder(np.arctan2(step[..., 1], step[..., 0]) - reference + np.pi, 2 * np.pi) - np.pi
    near = np.hypot(step[..., 0], step[..., 1]) <= tolerance
    likely = near | ((way >= low[:count, None] - 1e-9) & (way <= high[:count, None] + 1e-9))
    corner, place = np.nonzero(likely)
    good = _passes(start, ends[corner, place], line[at:at + 1 + count], corner + 1, tolerance)
    return corner[good] + at + 1, place[good]


def _passes(start: Floats, ends: Floats, points: Floats, until: Integers, tolerance: Metre) -> Booleans:
    """Which legs pass all points up to a given one within the tolerance. Shape (m,)."""
    step = ends - start
    square = (step**2).sum(axis=1)
    offs = points - start
    share = np.clip((step @ offs.T) / np.where(square > 0, square, 1.0)[:, None], 0.0, 1.0)
    east = offs[None, :, 0] - share * step[:, :1]
    north = offs[None, :, 1] - share * step[:, 1:]
    fine = east**2 + north**2 <= (tolerance + _SLACK) ** 2
    fine |= np.arange(len(points))[None, :] > until[:, None]
    return np.asarray(fine.all(axis=1) & (square > 0))
