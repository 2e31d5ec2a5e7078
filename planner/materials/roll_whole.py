"""Rolls for demands that must not be joined: every demand is cut in one piece from one roll."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence

import numpy as np

from planner.materials.roll_layout import Laid
from planner.materials.roll_search import EXACT_MOST, best_partition
from planner.materials.roll_stock import Stock

Bins = list[tuple[int, list[int]]]


def split_long(lengths: Sequence[int], stock: Stock) -> tuple[Laid, list[tuple[int, int]]]:
    """Whole rolls for demands longer than any roll, and the pieces that remain.

    Args:
        lengths: Length of each demand. [micrometre]
        stock: Roll lengths.

    Returns:
        The rolls that go into one demand alone; demand and length of each remaining piece.
    """
    full: Laid = []
    pieces: list[tuple[int, int]] = []
    for k, length in enumerate(lengths):
        rest = length
        while rest > stock.longest:
            short = stock.useful - (rest - stock.longest)
            piece = stock.longest - short if 0 < short < stock.longest // 2 else stock.longest
            full.append((stock.longest, [(k, piece)]))
            rest -= piece
        pieces.append((k, rest))
    return full, pieces


def whole_rolls(lengths: Sequence[int], stock: Stock) -> tuple[Bins, bool]:
    """Rolls and what is cut from each, without joins.

    Args:
        lengths: Length of each piece, none longer than the longest roll. [micrometre]
        stock: Roll lengths and prices.

    Returns:
        Roll length and indices of each roll; whether this was proved to be the cheapest by going through all plans.
    """
    rates = sorted(range(len(stock.lengths)), key=lambda s: (stock.prices[s] / stock.lengths[s], s))
    longest = max(lengths)
    capacities = [stock.lengths[s] for s in rates if stock.lengths[s] >= longest]
    greedy = _smallest(_best_fit(range(len(lengths)), lengths, capacities[0]), lengths, stock)
    if len(lengths) <= EXACT_MOST:
        groups = best_partition(lengths, stock.single, len(greedy))
        if groups is not None:
            return _smallest(groups, lengths, stock), True
    found = [greedy]
    falling = sorted(range(len(lengths)), key=lambda k: (-lengths[k], k))
    for capacity in dict.fromkeys(capacities):
        found.append(_smallest(_best_fit(falling, lengths, capacity), lengths, stock))
        found.append(_smallest(_filled(falling, lengths, capacity), lengths, stock))
    allowed = [bins for bins in found if len(bins) <= len(greedy)]
    return min(allowed, key=lambda bins: (_price(bins, lengths, stock), len(bins))), False


def _price(bins: Bins, lengths: Sequence[int], stock: Stock) -> float:
    prices = dict(zip(stock.lengths, stock.prices, strict=True))
    return math.fsum(prices[roll] + stock.penalty(roll - sum(lengths[k] for k in group)) for roll, group in bins)


def _smallest(groups: Sequence[Sequence[int]], lengths: Sequence[int], stock: Stock) -> Bins:
    """Each group on the cheapest roll that holds it."""
    bins: Bins = []
    for group in groups:
        buy = stock.single(sum(lengths[k] for k in group))
        if buy is None:
            raise ValueError("a group of pieces is longer than the longest roll")
        bins.append((stock.lengths[buy.counts.index(1)], list(group)))
    return bins


def _best_fit(order: Sequence[int] | range, lengths: Sequence[int], capacity: int) -> list[list[int]]:
    """Each piece onto the open roll it fills best."""
    groups: list[list[int]] = []
    rooms: list[tuple[int, int]] = []
    for k in order:
        at = bisect_left(rooms, (lengths[k], -1))
        if at == len(rooms):
            groups.append([k])
            insort(rooms, (capacity - lengths[k], len(groups) - 1))
        else:
            room, g = rooms.pop(at)
            groups[g].append(k)
            insort(rooms, (room - lengths[k], g))
    return groups


def _filled(falling: Sequence[int], lengths: Sequence[int], capacity: int) -> list[list[int]]:
    """Roll after roll: the longest piece that fits, again and again, and the best pair to close it."""
    remaining = list(reversed(falling))
    values = [lengths[k] for k in remaining]
    groups: list[list[int]] = []
    while remaining:
        group = [remaining.pop()]
        room = capacity - values.pop()
        while values and values[0] <= room:
            pair = _pair(values, room) if room < 2.5 * values[len(values) // 2] else None
            chosen = pair or (bisect_right(values, room) - 1,)
            for at in sorted(chosen, reverse=True):
                group.append(remaining.pop(at))
                room -= values.pop(at)
        groups.append(group)
    return groups


def _pair(values: list[int], room: int) -> tuple[int, ...] | None:
    """Places of the one or two pieces that fill a room best."""
    single = bisect_right(values, room) - 1
    if len(values) < 2:
        return (single,) if single >= 0 else None
    known = np.array(values, dtype=np.int64)
    at = np.minimum(np.searchsorted(known, room - known, side="right") - 1, np.arange(len(values)) - 1)
    total = np.where(at >= 0, known + known[np.maximum(at, 0)], -1)
    total = np.where(total <= room, total, -1)
    best = int(np.argmax(total))
    if single >= 0 and values[single] >= total[best]:
        return (single,)
    return (best, int(at[best])) if total[best] > 0 else None
