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
    return _least_path(x, y, *_hops(x, y, reach))


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
    """Which points each start of a block sees: bit d - 1 of row i - first, the least first, stands for i + d."""

    first: int
    bits: Bytes
    reach: int

    def rows(self) -> list[int]:
        """The row of each start as a whole number."""
        width, data = self.bits.shape[1], self.bits.tobytes()
        return [int.from_bytes(data[at:at + width], "little") for at in range(0, len(data), width)]


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
            tiles.append(np.packbits(np.ascontiguousarray(seen.T), axis=1, bitorder="little"))
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
            tiles.append(np.packbits(np.ascontiguousarray(seen.T), axis=1, bitorder="little"))
            seen[:] = False
        seen[row, slice(here - first, at - first) if whole else starts - first] = (slope >= low) & (slope <= high)


def _hops(x: Floats, y: Floats, reach: float) -> tuple[list[int], list[int]]:
    """Fewest legs from each point to the last one; and the corners that may come next, bit d - 1 for point i + d.

    Points of equally many legs are kept as the bits of one number, counted from the lowest of them, so that one
    "and" tells which of them a start sees.
    """
    points = len(x)
    hops, following = [0] * points, [0] * points
    lowest, alike, floor = [points - 1], [1], 0
    for end in range(points - 1, 0, -_BLOCK):
        first = max(0, end - _BLOCK)
        sight = _sight(x, y, first, end, reach)
        seen = sight.rows()
        for start in range(end - 1, first - 1, -1):
            while lowest[floor] > start + sight.reach:
                floor += 1
            legs, row, base = floor, seen[start - first], start + 1
            while not (found := row >> (lowest[legs] - base) & alike[legs]):
                legs += 1
            following[start] = found << (lowest[legs] - base)
            legs += 1
            hops[start] = legs
            if legs < len(lowest):
                alike[legs] = alike[legs] << (lowest[legs] - start) | 1
                lowest[legs] = start
            else:
                alike.append(1)
                lowest.append(start)
    return hops, following


def _by_legs_left(hops: list[int], following: list[int]) -> list[list[int]]:
    """The points that lie on some chain of fewest legs, by how many legs are left."""
    some: list[list[int]] = [[] for _ in range(hops[0] + 1)]
    ahead = 1
    for start, (legs, after) in enumerate(zip(hops, following, strict=True)):
        if ahead & 1:
            some[legs].append(start)
            ahead |= after << 1
        ahead >>= 1
    return some


def _targets(start: int, after: int) -> list[int]:
    if after.bit_count() > _FEW:
        bits = np.frombuffer(after.to_bytes((after.bit_length() + 7) // 8, "little"), dtype=np.uint8)
        return (np.flatnonzero(np.unpackbits(bits, bitorder="little")) + (start + 1)).tolist()
    found = []
    while after:
        least = after & -after
        found.append(start + least.bit_length())
        after ^= least
    return found


def _least_path(x: Floats, y: Floats, hops: list[int], following: list[int]) -> Integers:
    """The chain of fewest legs with the least summed distance, among all chains of fewest legs.

    From the end, all points with equally many legs left at once: the sums of one such set rest on those of the last.
    """
    rest, follower = [0.0] * len(x), [0] * len(x)
    for starts in _by_legs_left(hops, following)[1:]:
        targets = [_targets(start, following[start]) for start in starts]
        much = sum((some[-1] - start) * len(some) for start, some in zip(starts, targets, strict=True))
        if much > _ALL_SUMMED:
            for start, some in zip(starts, targets, strict=True):
                follower[start], rest[start] = _least(x, y, start, np.array(some), np.array([rest[t] for t in some]))
            continue
        strays = iter(_strays_of_legs(x, y, starts, targets))
        for start, some in zip(starts, targets, strict=True):
            rest[start], follower[start] = min((stray + rest[t], t) for t, stray in zip(some, strays, strict=False))
    corners = [0]
    while corners[-1] != len(x) - 1:
        corners.append(follower[corners[-1]])
    return np.array(corners, dtype=np.int64)


def _strays_of_legs(x: Floats, y: Floats, starts: list[int], targets: list[list[int]]) -> list[float]:
    """Summed distance between the points and each leg, from each start to each of its targets in turn."""
    ends = np.array([t for some in targets for t in some])
    begins = np.repeat(np.array(starts), [len(some) for some in targets])
    counts = ends - begins
    last = np.cumsum(counts)
    leg = np.repeat(np.arange(len(ends)), counts)
    between = np.arange(1, last[-1] + 1) + (begins - last + counts)[leg]
    from_x, from_y = x[begins], y[begins]
    slope = (y[ends] - from_y) / (x[ends] - from_x)
    off = np.abs((y[between] - from_y[leg]) - slope[leg] * (x[between] - from_x[leg]))
    off[last - 1] = 0.0
    return np.add.reduceat(off, last - counts).tolist()  # type: ignore[no-any-return]


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
