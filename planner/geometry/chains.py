"""Chains: the fewest straight legs, with corners on the given points, that stay close to all of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from planner.errors import OutOfRange
from planner.geometry.arrays import Booleans, Floats, Integers

Bytes: TypeAlias = npt.NDArray[np.uint8]
SLACK = 1e-9
"""How far a leg may lie beyond the tolerance and still count as within: a nanometre, for the rounding."""
_BLOCK = 4096
_TILE = 256
_FEW = 16
_ALL_SUMMED = 20_000
_PARTS = 32


def fewest_chain(x: Floats, y: Floats, *, tolerance: float) -> Integers:
    """The corners of the chain of fewest straight legs that stays within a tolerance of every point.

    The corners are chosen among the points, the first and the last included; distance is measured along y. The
    number of legs is the least possible, and among all chains of that many legs the sum of distances between chain
    and points is the least possible: both by search over every pair of points that see each other, never by a rule
    of thumb. Time grows with the number of points times the number of points that one leg can reach.

    Args:
        x: Distance along, strictly rising. Shape (n,), n >= 2.
        y: Value at each. Shape (n,).
        tolerance: Greatest distance, 0 or more, in the unit of y.

    Returns:
        Index of each corner, rising, first 0, last n - 1. Shape (k,).

    Raises:
        OutOfRange: Fewer than two points, x not rising, a number that is not finite, or a negative tolerance.

    Source:
        H. Imai and M. Iri, "Polygonal approximations of a curve: formulations and algorithms", in Computational
        Morphology (1988): the min-# problem as a shortest path. Checked in tests/unit/geometry/test_chains.py and
        tests/properties/test_chains.py against searches over all pairs and all subsets.

    Example:
        >>> import numpy as np
        >>> fewest_chain(np.arange(5.0), np.array([0.0, 1.1, 2.0, 1.0, 0.0]), tolerance=0.2).tolist()
        [0, 2, 4]
    """
    x, y = np.ascontiguousarray(x, dtype=np.float64), np.ascontiguousarray(y, dtype=np.float64)
    _check(x, y, tolerance)
    last = len(x) - 1
    reach = tolerance + SLACK
    seen = _seen_from_first(x, y, reach)
    if seen[-1]:
        return np.array([0, last], dtype=np.int64)
    seen &= _seen_from_first(-x[::-1], y[::-1], reach)[::-1]
    seen[0] = False
    middles = np.flatnonzero(seen)
    if len(middles):
        after = np.array([_strays(x, y, int(m), np.array([last]))[0] for m in middles])
        middle, _ = _least(x, y, 0, middles, after)
        return np.array([0, middle, last], dtype=np.int64)
    hops, sights = _hops(x, y, reach)
    return _least_path(x, y, hops, sights)


def _check(x: Floats, y: Floats, tolerance: float) -> None:
    if x.ndim != 1 or x.shape != y.shape or len(x) < 2:
        raise OutOfRange("a chain needs two points or more, each with a distance and a value",
                         remedy="give two arrays of one length")
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise OutOfRange("a point of the chain is not a finite number", remedy="mend or leave out that point")
    if not (np.diff(x) > 0).all():
        raise OutOfRange("the distances along the chain do not rise from point to point",
                         where=f"point {int(np.argmin(np.diff(x) > 0)) + 2}", remedy="sort them and drop repeats")
    if not (np.isfinite(tolerance) and tolerance >= 0):
        raise OutOfRange(f"a tolerance of {tolerance} cannot be kept", remedy="give 0 or more")


def _seen_from_first(x: Floats, y: Floats, reach: float) -> Booleans:
    share = 1.0 / (x[1:] - x[0])
    slope = (y[1:] - y[0]) * share
    share *= reach
    low, high = np.maximum.accumulate(slope - share), np.minimum.accumulate(slope + share)
    return np.concatenate(([False], (slope >= low) & (slope <= high)))


@dataclass(frozen=True, slots=True)
class _Sight:
    """Which points each start of a block sees: bit d - 1 of row i - first stands for point i + d."""

    first: int
    bits: Bytes
    reach: int

    def seen(self, start: int) -> Booleans:
        row = np.unpackbits(self.bits[start - self.first], count=self.reach)
        return row.view(np.bool_)


def _sight(x: Floats, y: Floats, first: int, end: int, reach: float) -> _Sight:
    """Which later points each start in [first, end) sees.

    All starts walk on together, each with the cone of slopes that keep every point so far within reach; a start
    whose cone has closed, or that has come to the last point, is dropped.
    """
    points = len(x)
    tiles: list[Bytes] = []
    seen = np.zeros((_TILE, end - first), dtype=np.bool_)
    starts = np.arange(first, end)
    low, high = np.full(len(starts), -np.inf), np.full(len(starts), np.inf)
    from_x, from_y = x[starts], y[starts]
    step = 0
    while True:
        step += 1
        if starts[-1] + step >= points or step % 16 == 0:
            kept = (low <= high) & (starts + step < points)
            if starts[-1] + step >= points or np.count_nonzero(kept) < max(_FEW, 0.8 * len(starts)):
                starts, low, high = starts[kept], low[kept], high[kept]
                from_x, from_y = from_x[kept], from_y[kept]
        if not len(starts):
            tiles.append(np.packbits(np.ascontiguousarray(seen.T), axis=1))
            return _Sight(first, np.concatenate(tiles, axis=1), step - 1)
        here, at, whole = starts[0], starts[-1] + 1, len(starts) == starts[-1] + 1 - starts[0]
        to = slice(here + step, at + step) if whole else starts + step
        share = 1.0 / (x[to] - from_x)
        slope = (y[to] - from_y) * share
        share *= reach
        np.maximum(low, slope - share, out=low)
        np.minimum(high, slope + share, out=high)
        row = (step - 1) % _TILE
        if not row and step > 1:
            tiles.append(np.packbits(np.ascontiguousarray(seen.T), axis=1))
            seen[:] = False
        seen[row, slice(here - first, at - first) if whole else starts - first] = (slope >= low) & (slope <= high)


def _hops(x: Floats, y: Floats, reach: float) -> tuple[Integers, list[_Sight]]:
    """Fewest legs from each point to the last one, and who sees whom, in order of the starts."""
    points = len(x)
    hops = np.zeros(points, dtype=np.int64)
    sights: list[_Sight] = []
    for end in range(points - 1, 0, -_BLOCK):
        first = max(0, end - _BLOCK)
        sight = _sight(x, y, first, end, reach)
        for start in range(end - 1, first - 1, -1):
            ahead = hops[start + 1 : start + 1 + sight.reach]
            hops[start] = ahead[sight.seen(start)[: len(ahead)]].min() + 1
        sights.append(sight)
    return hops, sights[::-1]


def _next_corners(start: int, hops: Integers, sight: _Sight) -> Integers:
    ahead = hops[start + 1 : start + 1 + sight.reach]
    return np.flatnonzero(sight.seen(start)[: len(ahead)] & (ahead == hops[start] - 1)) + (start + 1)


def _least_path(x: Floats, y: Floats, hops: Integers, sights: list[_Sight]) -> Integers:
    """The chain of fewest legs with the least summed distance, among all chains of fewest legs."""
    points = len(x)
    on_some_path = np.zeros(points, dtype=np.bool_)
    on_some_path[0] = True
    for sight in sights:
        for start in range(sight.first, min(sight.first + len(sight.bits), points - 1)):
            if on_some_path[start]:
                on_some_path[_next_corners(start, hops, sight)] = True
    rest = np.zeros(points)
    follower = np.zeros(points, dtype=np.int64)
    for sight in reversed(sights):
        for start in range(sight.first + len(sight.bits) - 1, sight.first - 1, -1):
            if on_some_path[start]:
                targets = _next_corners(start, hops, sight)
                follower[start], rest[start] = _least(x, y, start, targets, rest[targets])
    corners = [0]
    while corners[-1] != points - 1:
        corners.append(int(follower[corners[-1]]))
    return np.array(corners, dtype=np.int64)


def _least(x: Floats, y: Floats, start: int, targets: Integers, rest: Floats) -> tuple[int, float]:
    """The target with the least summed distance on the leg to it and after it, and that sum.

    Where there is much to sum, targets are first ranked by a lower bound: distances summed with their signs over
    short stretches, which can only be less. Those whose bound is beaten need no sum.
    """
    length = int(targets[-1]) - start
    if len(targets) * length < _ALL_SUMMED:
        totals = _strays(x, y, start, targets) + rest
        best = int(totals.argmin())
        return int(targets[best]), float(totals[best])
    bound = _least_strays(x, y, start, targets) + rest
    order = np.argsort(bound, kind="stable")
    found: tuple[float, int] = (np.inf, 0)
    for some in range(0, len(order), _FEW):
        batch = order[some : some + _FEW]
        batch = np.sort(batch[bound[batch] <= found[0] + SLACK])
        if not len(batch):
            break
        totals = _strays(x, y, start, targets[batch]) + rest[batch]
        best = int(totals.argmin())
        found = min(found, (float(totals[best]), int(targets[batch[best]])))
    return found[1], found[0]


def _strays(x: Floats, y: Floats, start: int, targets: Integers) -> Floats:
    """Summed distance between the points and the leg to each target (rising). Shape of targets."""
    between = np.arange(start + 1, int(targets[-1]))
    slope = (y[targets] - y[start]) / (x[targets] - x[start])
    off = np.multiply.outer(slope, x[between] - x[start])
    np.subtract(y[between] - y[start], off, out=off)
    np.abs(off, out=off)
    off[between >= targets[:, None]] = 0.0
    return np.asarray(off.sum(axis=1))


def _least_strays(x: Floats, y: Floats, start: int, targets: Integers) -> Floats:
    """A lower bound of ``_strays``, from whole stretches before each target."""
    size = max(4, (int(targets[-1]) - start) // _PARTS)
    cuts = np.arange(start + 1, int(targets[-1]) + 1, size)
    last = int(cuts[-1])
    sum_x = np.add.reduceat(x[start + 1 : last] - x[start], cuts[:-1] - start - 1)
    sum_y = np.add.reduceat(y[start + 1 : last] - y[start], cuts[:-1] - start - 1)
    slope = (y[targets] - y[start]) / (x[targets] - x[start])
    off = np.abs(sum_y - np.multiply.outer(slope, sum_x))
    off[cuts[1:] > targets[:, None]] = 0.0
    return np.asarray(off.sum(axis=1))
