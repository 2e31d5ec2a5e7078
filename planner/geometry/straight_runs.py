"""Straight runs: where a row of points is best cut into straight legs, for a range of worths of one leg."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats, Integers

MOST_CUTS = 1500
_WORTHS = 24
_STRAIGHT = 3.9


def straight_runs(xy: Floats, *, least: float) -> list[Integers]:
    """The best cuts of a row of points into straight legs, from many legs to few.

    For each of a range of worths, the cuts that make the summed square distance of the points from their own legs'
    best straight lines, plus the worth of every leg, the least possible: exact, by dynamic programming over cuts.
    Legs share the point of a cut. A row of more than 1500 points is cut at every second, third ... point only.

    Args:
        xy: Points in order. [m] Shape (n, 2), n >= 2.
        least: Smallest distance that counts as noise, the scale of the smallest worth. [m]

    Returns:
        Rows of point indices, first 0, last n - 1; each different from the one before.
    """
    cuts = np.unique(np.linspace(0, len(xy) - 1, min(len(xy), MOST_CUTS)).astype(np.int64))
    cost = _costs(xy, cuts)
    greatest = max(float(cost[0, -1]), least**2)
    found: list[Integers] = []
    for worth in np.geomspace(least**2, 2.0 * greatest + least**2, _WORTHS):
        row = cuts[_cheapest(cost, worth)]
        if not found or not np.array_equal(row, found[-1]):
            found.append(row)
    return found


def _costs(xy: Floats, cuts: Integers) -> Floats:
    """Summed square distance of points cuts[i]..cuts[j] from their best line, for i < j. Shape (m, m).

    Points that come back along their line (on a straight leg the square of the chord is twelve times the mean square
    spread, on a leg of two points four times; less means back) count with their distance from their middle instead.
    """
    x, y = (xy - xy.mean(axis=0)).T
    sums = np.concatenate((np.zeros((1, 5)), np.cumsum(np.column_stack((x, y, x * x, y * y, x * y)), axis=0)))
    cost = np.zeros((len(cuts), len(cuts)))
    for i in range(len(cuts) - 1):
        count = cuts[i + 1 :] + 1 - cuts[i]
        sx, sy, sxx, syy, sxy = (sums[cuts[i + 1 :] + 1] - sums[cuts[i]]).T
        xx, yy, xy_ = sxx - sx * sx / count, syy - sy * sy / count, sxy - sx * sy / count
        middle, reach = (xx + yy) / 2.0, np.hypot((xx - yy) / 2.0, xy_)
        chord = (x[cuts[i + 1 :]] - x[cuts[i]]) ** 2 + (y[cuts[i + 1 :]] - y[cuts[i]]) ** 2
        back = chord < _STRAIGHT * (middle + reach) / count
        cost[i, i + 1 :] = np.maximum(np.where(back, 2.0 * middle, middle - reach), 0.0)
    return cost


def _cheapest(cost: Floats, worth: float) -> Integers:
    total = np.zeros(len(cost))
    before = np.zeros(len(cost), dtype=np.int64)
    for j in range(1, len(cost)):
        through = total[:j] + cost[:j, j]
        before[j] = int(through.argmin())
        total[j] = through[before[j]] + worth
    row = [len(cost) - 1]
    while row[-1]:
        row.append(int(before[row[-1]]))
    return np.array(row[::-1], dtype=np.int64)
