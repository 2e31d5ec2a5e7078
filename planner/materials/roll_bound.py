"""The bound of a roll plan: what no plan can undercut, printed beside its cost.

Joins number the rolls less the groups (cut-end-to-end chains) of a plan, so a bound on the number of groups bounds
the joins. A group of one, two or more demands wastes at least what its own length, its best partner or nothing
leaves over; spreading each group over its demands turns the greatest number of groups within a waste allowance into
a fractional knapsack. The allowance is what a mix of rolls exceeds the total by; every mix that could win is tried.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from planner.geometry.arrays import Floats, Integers
from planner.materials.roll_stock import Stock

_MIXES_MOST = 400_000


def joined_bound(lengths: Sequence[int], stock: Stock, *, most_rolls: int, known: float) -> float:
    """A cost that no plan with joins undercuts.

    Args:
        lengths: Length of each demand. [micrometre]
        stock: Roll lengths and prices.
        most_rolls: Plans with more rolls are not looked at.
        known: Cost of a plan that was found.
    """
    total = sum(lengths)
    forced = sum(math.ceil(d / stock.longest) - 1 for d in lengths)
    mixes = _mixes(stock, total, most_rolls, known - stock.join * forced)
    if mixes is None:
        rate = min(p / a for p, a in zip(stock.prices, stock.lengths, strict=True))
        return min(known, rate * total + stock.join * forced)
    price, rolls, spare = mixes
    if not len(price):
        return known
    groups = np.minimum(_groups_within(lengths, stock, spare), rolls)
    cost = price + stock.join * np.maximum(rolls - groups, forced)
    return min(known, float(cost.min()))


def _mixes(stock: Stock, total: int, most_rolls: int, known: float) -> tuple[Floats, Integers, Integers] | None:
    """Price, rolls and spare length of every mix that covers the total and may still win; None when too many."""
    best = min(range(len(stock.lengths)), key=lambda s: (stock.prices[s] / stock.lengths[s], s))
    rate = stock.prices[best] / stock.lengths[best]
    others = [s for s in range(len(stock.lengths)) if s != best]
    axes = []
    for s in others:
        dearer = stock.prices[s] - rate * stock.lengths[s]
        most = min(most_rolls, math.ceil(total / stock.lengths[s]))
        if dearer > 1e-9:
            most = min(most, max(0, int((known - rate * total) / dearer + 1e-6)))
        axes.append(np.arange(most + 1, dtype=np.int64))
    if math.prod(len(a) for a in axes) > _MIXES_MOST:
        return None
    counts = [grid.ravel() for grid in np.meshgrid(*axes, indexing="ij")] if axes else []
    size = len(counts[0]) if counts else 1
    length, price, rolls = np.zeros(size, dtype=np.int64), np.zeros(size), np.zeros(size, dtype=np.int64)
    for s, n in zip(others, counts, strict=True):
        length, price, rolls = length + n * stock.lengths[s], price + n * stock.prices[s], rolls + n
    last = np.maximum(-((length - total) // stock.lengths[best]), 0)
    length, price, rolls = length + last * stock.lengths[best], price + last * stock.prices[best], rolls + last
    keep = (rolls <= most_rolls) & (price <= known + 1e-6)
    return price[keep], rolls[keep], (length - total)[keep]


def _groups_within(lengths: Sequence[int], stock: Stock, spare: Integers) -> Integers:
    """The greatest number of groups that waste no more than each allowance."""
    values = np.sort(np.array(lengths, dtype=np.int64))
    totals = np.array(stock.totals, dtype=np.int64)
    if not stock.complete:
        return np.full(len(spare), len(values), dtype=np.int64)
    alone = totals[np.searchsorted(totals, values)] - values
    paired = np.full(len(values), np.iinfo(np.int64).max // 4)
    for target in totals[: int(np.searchsorted(totals, 2 * values[-1])) + 1]:
        at = np.searchsorted(values, target - values, side="right") - 1
        own = (at >= 0) & (at == np.arange(len(values)))
        at = np.where(own, at - 1, at)
        gap = np.where(at >= 0, target - values - values[np.maximum(at, 0)], np.iinfo(np.int64).max // 4)
        paired = np.minimum(paired, np.where(gap >= 0, gap, np.iinfo(np.int64).max // 4))
    gain, waste = _upgrades(alone / 1.0, paired / 2.0)
    order = np.argsort(waste / gain, kind="stable")
    reached = np.concatenate(([0.0], np.cumsum(waste[order])))
    groups = len(values) / 3.0 + np.concatenate(([0.0], np.cumsum(gain[order])))
    return np.floor(np.interp(spare, reached, groups) + 1e-6).astype(np.int64)


def _upgrades(alone: Floats, paired: Floats) -> tuple[Floats, Floats]:
    """Steps from a third of a group to a half and to a whole one, in falling order of worth for each demand."""
    to_pair, pair_to_alone = paired, alone - paired
    straight = (to_pair / (1 / 6) >= alone / (2 / 3)) | (pair_to_alone <= 0)
    gains = np.concatenate((np.where(straight, 2 / 3, 1 / 6), np.where(straight, 1e-12, 1 / 2)))
    wastes = np.concatenate((np.where(straight, alone, to_pair), np.where(straight, 1e15, pair_to_alone)))
    return gains, np.maximum(wastes, 0.0)


def whole_bound(lengths: Sequence[int], stock: Stock) -> float:
    """A cost that no plan without joins undercuts.

    Each demand can at best share a roll that is filled as far as the other demands allow.

    Args:
        lengths: Length of each piece, none longer than the longest roll. [micrometre]
        stock: Roll lengths and prices.
    """
    unit = max(1, stock.longest // 20_000)
    sums = 1
    for d in lengths:
        sums |= sums << (d // unit)
        sums &= (1 << (stock.longest // unit + 1)) - 1
    most = min(len(lengths), stock.longest // max(min(lengths), 1)) + 1
    shares = 0.0
    for d in sorted(set(lengths)):
        cheapest = math.inf
        for length, price in zip(stock.lengths, stock.prices, strict=True):
            if length >= d:
                room = (sums & ((1 << ((length - d) // unit + 1)) - 1)).bit_length() - 1
                fill = min(length, d + (room + most) * unit)
                cheapest = min(cheapest, price * d / fill)
        shares += lengths.count(d) * cheapest
    return _whole_rolls(shares, stock, lengths)


def _whole_rolls(shares: float, stock: Stock, lengths: Sequence[int]) -> float:
    if len(stock.lengths) > 1:
        return shares
    rolls = max(math.ceil(shares / stock.prices[0] - 1e-9), _rolls_for_long_ones(lengths, stock.longest))
    return rolls * stock.prices[0]


def _rolls_for_long_ones(lengths: Sequence[int], roll: int) -> int:
    """The fewest rolls, counting that two pieces above half a roll never share one.

    Source:
        S. Martello and P. Toth, Lower bounds and reduction procedures for the bin packing problem, Discrete Applied
        Mathematics 28 (1990), bound L2.
    """
    values = np.sort(np.array(lengths, dtype=np.int64))
    sums = np.concatenate(([0], np.cumsum(values)))
    least = np.concatenate(([0], np.unique(values[2 * values <= roll])))
    above = np.searchsorted(values, roll - least, side="right")
    half = int(np.searchsorted(values, roll // 2, side="right"))
    small = np.searchsorted(values, least, side="left")
    long_ones = len(values) - np.maximum(above, half)
    middle = np.maximum(above, half) - half
    room = middle * roll - (sums[np.maximum(above, half)] - sums[half])
    rest = np.maximum(sums[half] - sums[np.minimum(small, half)] - room, 0)
    return int((long_ones + middle - (-rest // roll)).max())
