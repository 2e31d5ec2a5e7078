"""Which demands are cut end to end from which rolls: the search for the cheapest grouping.

With joins anywhere, a group of demands laid end to end on R rolls has R - 1 joins, so its cost depends on the sum of
its lengths alone, and the plan becomes a partition: the more groups that fill their rolls, the fewer the joins.
Small plans are solved by going through every partition; larger ones by filling rolls with pairs, triples and fours
of demands and then moving demands between groups, a fixed number of tries from a fixed seed.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

import numpy as np

from planner.geometry.arrays import Integers
from planner.materials.roll_stock import Buy, Stock

Grouping = list[list[int]]
EXACT_MOST = 10
_TOLERANCES_M = (0.05, 0.15, 0.3, 0.6, 1.0, 1.6, 2.5, 4.0, 6.0, 9.0)
_TRIES_PER_SECOND = 15_000
_STUFFED_MISSES = 24
"""Coils of many short demands that may fail to fill before no more are tried; the next would fail like them."""
_SAMPLE, _SAMPLE_OF_PAIRS = 192, 24
_NO_WAY = np.iinfo(np.int64).max
_FEW = 100
_BATCH = 300
"""Demands up to which all are looked at together."""
_NEAR = 2e-4


def best_partition(lengths: Sequence[int], cost: Callable[[int], Buy | None], most_rolls: int) -> Grouping | None:
    """The cheapest partition of a few demands, found by going through all of them.

    Args:
        lengths: Length of each demand. [micrometre] At most ``EXACT_MOST``.
        cost: Sum of a group's lengths to the rolls it needs; None where no rolls will do.
        most_rolls: The plan may not need more rolls than this.

    Returns:
        The groups, each a list of indices; None when every partition needs more rolls.
    """
    n = len(lengths)
    sums = [0] * (1 << n)
    for mask in range(1, 1 << n):
        low = (mask & -mask).bit_length() - 1
        sums[mask] = sums[mask & (mask - 1)] + lengths[low]
    buys = [cost(s) if s else None for s in sums]
    # best[mask]: rolls used -> (cost, the group that holds the lowest demand)
    best: list[dict[int, tuple[float, int]]] = [{} for _ in range(1 << n)]
    best[0] = {0: (0.0, 0)}
    for mask in range(1, 1 << n):
        rest = mask & (mask - 1)
        low = mask ^ rest
        part = rest
        while True:
            group = part | low
            buy = buys[group]
            if buy is not None:
                for rolls, (so_far, _) in best[mask ^ group].items():
                    row = (so_far + buy.cost, group)
                    known = best[mask].get(rolls + buy.rolls)
                    if rolls + buy.rolls <= most_rolls and (known is None or row[0] < known[0] - 1e-9):
                        best[mask][rolls + buy.rolls] = row
            if part == 0:
                break
            part = (part - 1) & rest
    full = (1 << n) - 1
    if not best[full]:
        return None
    return _unwind(best, buys, full, n)


def _unwind(best: list[dict[int, tuple[float, int]]], buys: list[Buy | None], full: int, n: int) -> Grouping:
    rolls = min(best[full], key=lambda r: (round(best[full][r][0], 9), r))
    groups: Grouping = []
    mask = full
    while mask:
        group = best[mask][rolls][1]
        groups.append([k for k in range(n) if group >> k & 1])
        bought = buys[group]
        rolls -= bought.rolls if bought is not None else 0
        mask ^= group
    return groups


def filled_groups(lengths: Sequence[int], stock: Stock, most_rolls: int, seconds: float,
                  starts: Sequence[Grouping] = ()) -> Grouping:
    """A good grouping of many demands that may be joined.

    Args:
        lengths: Length of each demand. [micrometre]
        stock: Roll lengths and prices.
        most_rolls: The plan may not need more rolls than this.
        seconds: Sets the number of tries; the clock itself is never read.
        starts: Groupings to start from beside its own.
    """
    order = sorted(range(len(lengths)), key=lambda k: (-lengths[k], k))
    if len(lengths) > _BATCH:
        return _by_batches(lengths, order, stock, most_rolls, seconds)
    best: Grouping = [order]
    best_cost = stock.buy(sum(lengths)).cost
    unjoined = best_cost - stock.join * (stock.buy(sum(lengths)).rolls - 1)
    for groups, rest in _trials(lengths, order, stock, starts):
        trial = _within(groups, rest, lengths, stock, most_rolls)
        cost = sum(stock.buy(sum(lengths[k] for k in g)).cost for g in trial)
        if cost < best_cost - 1e-9 and _rolls(trial, lengths, stock) <= most_rolls:
            best, best_cost = trial, cost
        if best_cost - unjoined <= _NEAR * unjoined:
            return best
    if len(best) > 1 and _joins(best, lengths, stock) > 0:
        tries = int(_TRIES_PER_SECOND * min(seconds, 2.0))
        best = _improved(best, lengths, stock, most_rolls, tries if len(lengths) <= _FEW else tries // 3)
    return best


def _by_batches(lengths: Sequence[int], order: list[int], stock: Stock, most_rolls: int, seconds: float) -> Grouping:
    """Very many demands in batches of alike mixtures: the search goes with the square of their number, and what a batch
    wastes at its end is part of one roll."""
    number = math.ceil(len(order) / _BATCH)
    groups: Grouping = []
    for batch in range(number):
        mine = order[batch::number]
        wanted = [lengths[k] for k in mine]
        found = filled_groups(wanted, stock, stock.buy(sum(wanted)).rolls + 1, seconds / number)
        groups += [[mine[k] for k in group] for group in found]
    return _within(groups, [], lengths, stock, most_rolls)


def _trials(lengths: Sequence[int], order: list[int], stock: Stock,
            starts: Sequence[Grouping]) -> Iterator[tuple[Grouping, list[int]]]:
    for start in starts:
        yield list(start), []
    for targets in _targets(stock, sum(lengths)):
        for tolerance in _TOLERANCES_M:
            yield _fill(lengths, order, targets, round(tolerance * 1e6))


def _targets(stock: Stock, total: int) -> list[list[int]]:
    """Totals worth filling, up to the first that all demands together leave empty by more than a tolerance: those of
    the cheapest roll per metre alone, and those of every mix."""
    step = stock.lengths[stock.best]
    most = total + round(_TOLERANCES_M[-1] * 1e6)
    alone = list(range(step, min(stock.totals[-1], most + step) + 1, step))
    return [alone] if len(stock.lengths) == 1 else [alone, stock.totals[:bisect_right(stock.totals, most) + 1]]


def _rolls(groups: Grouping, lengths: Sequence[int], stock: Stock) -> int:
    return sum(stock.buy(sum(lengths[k] for k in g)).rolls for g in groups)


def _joins(groups: Grouping, lengths: Sequence[int], stock: Stock) -> int:
    return _rolls(groups, lengths, stock) - len(groups)


def _within(groups: Grouping, rest: list[int], lengths: Sequence[int], stock: Stock, most: int) -> Grouping:
    """Groups that pay, the others given up into one long one; then the wasteful ones too until the rolls suffice."""
    rate = (stock.prices[stock.best] + stock.join) / stock.lengths[stock.best]
    sums = [sum(lengths[k] for k in g) for g in groups]
    buys = [stock.buy(s) for s in sums]
    rest = list(rest)
    order = []
    for g, group in enumerate(groups):
        if buys[g].cost < rate * sums[g]:
            order.append(g)
        else:
            rest += group
    order.sort(key=lambda g: (buys[g].rolls * stock.longest - sums[g], g))
    rolls = sum(buys[g].rolls for g in order)
    rest_sum = sum(lengths[k] for k in rest)
    while order and rolls + (stock.buy(rest_sum).rolls if rest_sum else 0) > most:
        g = order.pop()
        rest += groups[g]
        rest_sum += sums[g]
        rolls -= buys[g].rolls
    return [groups[g] for g in sorted(order)] + ([rest] if rest else [])


def _fill(lengths: Sequence[int], order: list[int], targets: list[int], tolerance: int) -> tuple[Grouping, list[int]]:
    """Groups of few demands that leave no more than the tolerance over, and the demands that found none."""
    left = sorted(order, key=lambda k: (lengths[k], k))
    groups: Grouping = []
    typical = sum(lengths) / len(lengths)
    for size in (1, 2, 3, 4):
        left, found = _fill_by(left, lengths, targets, tolerance, size, typical)
        groups += found
    return groups, left


def _fill_by(left: list[int], lengths: Sequence[int], targets: list[int], tolerance: int, size: int,
             typical: float) -> tuple[list[int], Grouping]:
    """Takes the longest demand again and again, and closes its rolls with ``size`` - 1 others."""
    remaining = list(left)
    values = [lengths[k] for k in remaining]
    skipped: list[int] = []
    found: Grouping = []
    misses = 0
    while remaining and misses < _STUFFED_MISSES:
        group = [remaining.pop()]
        total = values.pop()
        if size > 1:
            total = _stuff(group, total, remaining, values, targets[0], size, typical)
        closing = _closing(total, values, targets, tolerance, size - 1)
        if closing is None:
            misses += len(group) > 1
            skipped.append(group[0])
            for k in group[1:]:
                at = bisect_right(values, lengths[k])
                values.insert(at, lengths[k])
                remaining.insert(at, k)
            continue
        for at in sorted(closing, reverse=True):
            group.append(remaining.pop(at))
            values.pop(at)
        found.append(group)
    return sorted(skipped + remaining, key=lambda k: (lengths[k], k)), found


def _stuff(group: list[int], total: int, remaining: list[int], values: list[int], coil: int, size: int,
           typical: float) -> int:
    """Fills a long coil with whole demands until only ``size`` - 1 more will fit."""
    room = coil - total
    while room > (size + 0.5) * typical and values:
        at = bisect_right(values, room) - 1
        if at < 0:
            break
        group.append(remaining.pop(at))
        value = values.pop(at)
        total += value
        room -= value
    return total


def _closing(total: int, values: list[int], targets: list[int], tolerance: int, more: int) -> tuple[int, ...] | None:
    """Places in ``values`` of the demands that fill the rolls to within the tolerance; None when there are none."""
    if more == 0:
        return () if targets[bisect_left(targets, total)] - total <= tolerance else None
    if len(values) < more:
        return None
    known, firsts = np.array(values, dtype=np.int64), _firsts(len(values), more - 1)
    if not len(firsts):
        return None
    base = known[firsts[:, 0]] if more == 2 else known[firsts].sum(axis=1)
    reach = total + int(base.max()) + int(known[-1])
    some = targets[bisect_right(targets, total):bisect_left(targets, reach) + 1]
    wanted = np.array(some, dtype=np.int64)[:, None] - (total + base)
    at = known.searchsorted(wanted, side="right") - 1
    gap = wanted - known[at]
    gap[at < 0] = _NO_WAY
    best, best_gap = None, tolerance + 1
    least = np.minimum.reduce(gap, axis=1)
    for row in np.flatnonzero(least <= tolerance).tolist():
        if least[row] >= best_gap:
            continue
        for column in np.argsort(gap[row], kind="stable")[:4].tolist():
            chosen = (*firsts[column].tolist(), int(at[row, column]))
            if gap[row, column] <= tolerance and len(set(chosen)) == len(chosen):
                if gap[row, column] < best_gap:
                    best, best_gap = chosen, int(gap[row, column])
                break
    return best


@lru_cache(maxsize=1024)
def _firsts(among: int, size: int) -> Integers:
    """Which demands, or pairs of them, are tried before the last: a sample of all. Shape (n, size)."""
    if size == 0:
        return np.zeros((1, 0), dtype=np.int64)
    if size == 1:
        return np.arange(0, among, max(1, among // _SAMPLE))[:, None]
    some = np.arange(0, among, max(1, among // _SAMPLE_OF_PAIRS))
    return np.column_stack([some[k] for k in np.triu_indices(len(some), 1)])


def _improved(groups: Grouping, lengths: Sequence[int], stock: Stock, most_rolls: int, tries: int) -> Grouping:
    """Moves and swaps between groups, kept when the cost falls or, at first, when it rises a little."""
    dice = random.Random(20_116)
    groups = [list(g) for g in groups]
    sums = [sum(lengths[k] for k in g) for g in groups]
    buys = [stock.buy(s) for s in sums]
    cost, rolls = sum(b.cost for b in buys), sum(b.rolls for b in buys)
    best, best_cost = [list(g) for g in groups], cost
    heat = max(stock.join, 1e-9) * 0.5
    for step in range(tries):
        a = dice.randrange(len(groups))
        b = dice.randrange(len(groups) + 1)
        if a == b or (b == len(groups) and len(groups[a]) == 1):
            continue
        mine = dice.randrange(len(groups[a]))
        moved = lengths[groups[a][mine]]
        theirs = -1
        if b < len(groups) and dice.random() < 0.6:
            theirs = dice.randrange(len(groups[b]))
            moved -= lengths[groups[b][theirs]]
        sum_a = sums[a] - moved
        sum_b = (sums[b] if b < len(groups) else 0) + moved
        new_a = stock.buy(sum_a) if sum_a else Buy(0.0, (), 0)
        new_b = stock.buy(sum_b)
        old_cost = buys[a].cost + (buys[b].cost if b < len(groups) else 0.0)
        old_rolls = buys[a].rolls + (buys[b].rolls if b < len(groups) else 0)
        change = new_a.cost + new_b.cost - old_cost
        more = rolls + new_a.rolls + new_b.rolls - old_rolls
        limit = heat * (1 - step / tries) * -_LOGS[dice.randrange(len(_LOGS))]
        if more > most_rolls or change > limit:
            continue
        if b == len(groups):
            groups.append([])
            sums.append(0)
            buys.append(new_b)
        taken = groups[a].pop(mine)
        if theirs >= 0:
            groups[a].append(groups[b].pop(theirs))
        groups[b].append(taken)
        sums[a], sums[b], buys[a], buys[b] = sum_a, sum_b, new_a, new_b
        cost, rolls = cost + change, more
        if not groups[a]:
            groups[a], sums[a], buys[a] = groups[-1], sums[-1], buys[-1]
            groups.pop()
            sums.pop()
            buys.pop()
        if cost < best_cost - 1e-9:
            best, best_cost = [list(g) for g in groups], cost
    return best


_LOGS = tuple(float(v) for v in np.log((np.arange(256) + 0.5) / 256))
