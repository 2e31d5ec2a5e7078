"""Junctions: where fence lines of one job meet, tee off or cross."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.alignment.line import FenceLine
from planner.geometry.arrays import Floats, Integers
from planner.geometry.lines import chainages
from planner.units import Metre


@dataclass(frozen=True, slots=True)
class Junction:
    """A place where another line touches this one.

    Attributes:
        x: East in the working grid. [m]
        y: North in the working grid. [m]
        others: Names of the other lines that meet here, in the order of the job.
        directions: Directions of pull that the others add to this line's own: 1 for each that ends here, 2 for each
            that passes.
        crosses: True when no line ends here: they cross or touch in their middles.
        counted_with: Name of the line whose materials hold the assembly, the first in the job; empty when it is this
            one.
    """

    x: Metre
    y: Metre
    others: tuple[str, ...]
    directions: int
    crosses: bool = False
    counted_with: str = ""


@dataclass(frozen=True, slots=True)
class SharedStretch:
    """A stretch along which two lines run on top of each other.

    Attributes:
        line: Name of the line whose corners lie on the other.
        other: Name of the other line.
        x: East of its first corner on the other. [m]
        y: North of it. [m]
        length_m: Grid length of the stretch. [m]
    """

    line: str
    other: str
    x: Metre
    y: Metre
    length_m: Metre


def find_junctions(lines: Sequence[FenceLine], *, within_m: Metre = 0.5) -> Mapping[str, tuple[Junction, ...]]:
    """Where an end or a corner of one line stands on another, or two lines cross, for every line that is met.

    Both lines of a junction list it. Where lines run on top of each other only the places where they come together
    and part count. A line that touches itself is not a junction: the line's own check speaks of it.

    Args:
        lines: Fence lines in one working grid, names unique.
        within_m: Lines nearer than this touch. [m]

    Returns:
        Line name to its junctions; lines that nobody meets are not in it.
    """
    if len(lines) < 2:
        return {}
    shapes = _shapes(lines)
    pairs = _near_pairs(shapes, within_m)
    return _by_line(lines, *_nodes(lines, shapes, pairs, within_m), within_m) if len(pairs) else {}


def shared_stretches(lines: Sequence[FenceLine], *, within_m: Metre = 0.5) -> tuple[SharedStretch, ...]:
    """Stretches that are drawn twice: two or more successive corners of one line lie on another.

    Args:
        lines: Fence lines in one working grid, names unique.
        within_m: Lines nearer than this run together. [m]
    """
    if len(lines) < 2:
        return ()
    shapes = _shapes(lines)
    found: list[SharedStretch] = []
    for a, b in _pairs_side_by_side(lines, shapes, within_m).tolist():
        one, other = (a, b) if len(lines[a].xy) <= len(lines[b].xy) else (b, a)
        for mine, its in ((one, other), (other, one)):
            runs = [r for r in _runs_on(lines[mine].xy, shapes[its], within_m) if _length(lines[mine].xy, r) > within_m]
            found += [SharedStretch(lines[mine].name, lines[its].name, float(lines[mine].xy[r.start, 0]),
                                    float(lines[mine].xy[r.start, 1]), _length(lines[mine].xy, r)) for r in runs]
            if runs:
                break
    return (*found, *_overlapping_ends(lines, shapes, within_m))


def _overlapping_ends(lines: Sequence[FenceLine], shapes: Any, within_m: Metre) -> Iterator[SharedStretch]:
    """Straights that overlap in part: one end of each lies on the other, with no corner between the two ends."""
    owner = np.repeat(np.arange(len(lines)), [len(line.xy) for line in lines])
    places = shapely.points(np.concatenate([line.xy[:, :2] for line in lines]))
    corner, other = shapely.STRtree(shapes).query(places, predicate="dwithin", distance=within_m)
    foreign = owner[corner] != other
    corner, other = corner[foreign], other[foreign]
    mine = owner[corner]
    order = np.lexsort((mine, np.maximum(mine, other), np.minimum(mine, other)))
    corner, mine, other = corner[order], mine[order], other[order]
    key = np.minimum(mine, other) * len(lines) + np.maximum(mine, other)
    first = np.flatnonzero(np.concatenate(([True], key[1:] != key[:-1]))) if len(key) else np.array([], dtype=np.int64)
    count = np.diff(np.concatenate((first, [len(key)])))
    first = first[count == 2]
    first = first[mine[first] != mine[first + 1]]
    gap = shapely.distance(places[corner[first]], places[corner[first + 1]])
    for k in first[gap > within_m].tolist():
        one, two = places[corner[k]], places[corner[k + 1]]
        if all(_no_corner_between(lines[n].xy, shapes[n], one, two) for n in (mine[k], other[k])):
            yield SharedStretch(lines[mine[k]].name, lines[other[k]].name, float(one.x), float(one.y),
                                float(shapely.distance(one, two)))


def _no_corner_between(xy: Floats, shape: Any, one: Any, two: Any) -> bool:
    """Whether a line runs straight from one of two places on it to the other."""
    low, high = sorted(float(shapely.line_locate_point(shape, place)) for place in (one, two))
    at = chainages(xy)
    return not bool(((at > low + 1e-6) & (at < high - 1e-6)).any())


def _shapes(lines: Sequence[FenceLine]) -> Any:
    sizes = [len(line.xy) for line in lines]
    return shapely.linestrings(np.concatenate([line.xy[:, :2] for line in lines]),
                               indices=np.repeat(np.arange(len(lines)), sizes))


def _near_pairs(shapes: Any, within_m: Metre) -> Integers:
    """Index pairs of lines that come within reach of each other, each pair once. Shape (k, 2)."""
    found = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=within_m)
    found = found[:, found[0] < found[1]].T
    return np.asarray(found[np.lexsort((found[:, 1], found[:, 0]))], dtype=np.int64)


def _pairs_side_by_side(lines: Sequence[FenceLine], shapes: Any, within_m: Metre) -> Integers:
    """Index pairs of lines of which one has two corners or more on the other, each pair once. Shape (k, 2)."""
    owner = np.repeat(np.arange(len(lines)), [len(line.xy) for line in lines])
    corner, other = shapely.STRtree(shapes).query(shapely.points(np.concatenate([line.xy[:, :2] for line in lines])),
                                                  predicate="dwithin", distance=within_m)
    mine = owner[corner]
    pairs, times = np.unique(np.column_stack((mine, other))[mine != other], axis=0, return_counts=True)
    return np.asarray(np.unique(np.sort(pairs[times > 1], axis=1), axis=0), dtype=np.int64)


def _runs_on(xy: Floats, other: Any, within_m: Metre) -> list[slice]:
    """Runs of successive corners that lie on another line; a leg counts only when its middle lies on it too."""
    low_x, low_y, high_x, high_y = shapely.bounds(other)
    near = np.flatnonzero((xy[:, 0] >= low_x - within_m) & (xy[:, 0] <= high_x + within_m)
                          & (xy[:, 1] >= low_y - within_m) & (xy[:, 1] <= high_y + within_m))
    if not len(near):
        return []
    on = near[shapely.dwithin(other, shapely.points(xy[near, :2]), within_m)]
    if not len(on):
        return []
    joined = np.diff(on) == 1
    middles = (xy[on[:-1], :2] + xy[on[1:], :2]) / 2
    joined &= shapely.dwithin(other, shapely.points(middles), within_m)
    starts = np.concatenate(([0], np.flatnonzero(~joined) + 1))
    stops = np.concatenate((starts[1:], [len(on)]))
    return [slice(int(on[a]), int(on[b - 1]) + 1) for a, b in zip(starts, stops, strict=True)]


def _length(xy: Floats, run: slice) -> float:
    return float(np.hypot(*np.diff(xy[run, :2], axis=0).T).sum())


def _nodes(lines: Sequence[FenceLine], shapes: Any, pairs: Integers, within_m: Metre) -> tuple[Floats, Integers]:
    """Touching places with the two lines that make each. Shapes (k, 2) and (k, 2).

    Pair by pair: where corners of the first lie on the second, those of the second on the first, then crossings.
    """
    shapely.prepare(shapes)
    places, of_pair, turn = _corners_on(lines, shapes, pairs, within_m)
    parts, pair = shapely.get_parts(shapely.intersection(shapes[pairs[:, 0]], shapes[pairs[:, 1]]), return_index=True)
    is_point = shapely.get_type_id(parts) == 0
    crossed, which = shapely.get_coordinates(parts[is_point], return_index=True)
    of_pair = np.concatenate((of_pair, pair[is_point][which]))
    turn = np.concatenate((turn, np.full(len(crossed), 2)))
    order = np.lexsort((turn, of_pair))
    return np.concatenate((places, crossed))[order], pairs[of_pair[order]]


def _corners_on(lines: Sequence[FenceLine], shapes: Any, pairs: Integers,
                within_m: Metre) -> tuple[Floats, Integers, Integers]:
    """First and last corner of every run of successive corners that lie on the other line of a pair.

    Returns:
        Places, numbers of their pairs, and 0 where the corners are the first line's, 1 where they are the second's;
        within each pair and line in order of the corners.
    """
    xy = np.concatenate([line.xy[:, :2] for line in lines])
    owner = np.repeat(np.arange(len(lines)), [len(line.xy) for line in lines])
    corner, other = shapely.STRtree(shapes).query(shapely.points(xy), predicate="dwithin", distance=within_m)
    mine = owner[corner]
    key = np.minimum(mine, other) * len(lines) + np.maximum(mine, other)
    known = pairs[:, 0] * len(lines) + pairs[:, 1]
    pair = np.minimum(np.searchsorted(known, key), len(known) - 1)
    is_pair = (known[pair] == key) & (mine != other)
    corner, other, pair, turn = corner[is_pair], other[is_pair], pair[is_pair], (mine > other)[is_pair].astype(np.int64)
    order = np.lexsort((corner, turn, pair))
    corner, other, pair, turn = corner[order], other[order], pair[order], turn[order]
    joined = (np.diff(corner) == 1) & (np.diff(pair) == 0) & (np.diff(turn) == 0)
    middles = (xy[corner[:-1][joined]] + xy[corner[1:][joined]]) / 2
    joined[joined] = shapely.dwithin(shapes[other[:-1][joined]], shapely.points(middles), within_m)
    is_first, is_last = np.concatenate(([True], ~joined)), np.concatenate((~joined, [True]))
    both = np.ravel(np.column_stack((np.flatnonzero(is_first), np.flatnonzero(is_last)))) if len(corner) else corner
    return xy[corner[both]], pair[both], turn[both]


def _by_line(
    lines: Sequence[FenceLine], places: Floats, makers: Integers, within_m: Metre,
) -> dict[str, tuple[Junction, ...]]:
    found: defaultdict[int, list[Junction]] = defaultdict(list)
    for members in _clusters(places, within_m):
        spot = places[members].mean(axis=0)
        spot = places[members[int(np.argmin(np.hypot(*(places[members] - spot).T)))]]
        involved = sorted(set(makers[members].ravel().tolist()))
        ends = {k: _ends_at(lines[k], spot, 2 * within_m) for k in involved}
        pulls = {k: ends[k] or 2 for k in involved}
        for k in involved:
            found[k].append(Junction(
                float(spot[0]), float(spot[1]), tuple(lines[m].name for m in involved if m != k),
                sum(pulls[m] for m in involved if m != k), crosses=not any(ends.values()),
                counted_with="" if k == involved[0] else lines[involved[0]].name))
    return {lines[k].name: tuple(found[k]) for k in sorted(found)}


def _ends_at(line: FenceLine, spot: Floats, within_m: Metre) -> int:
    """How many ends of a line stand here; a closed line passes through its start."""
    if line.closed:
        return 0
    away = np.hypot(*(line.xy[[0, -1], :2] - spot).T)
    return int((away <= within_m).sum())


def _clusters(places: Floats, within_m: Metre) -> list[Integers]:
    """Places that count as one, as index arrays in order of their first place."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    if not len(places):
        return []
    near = cKDTree(places).query_pairs(within_m, output_type="ndarray")
    joined = coo_array((np.ones(len(near), dtype=bool), (near[:, 0], near[:, 1])), shape=(len(places),) * 2)
    labels = connected_components(joined, directed=False)[1]
    order = np.argsort(labels, kind="stable")
    return [np.asarray(part, dtype=np.int64) for part in np.split(order, np.flatnonzero(np.diff(labels[order])) + 1)]
