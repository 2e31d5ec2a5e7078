"""What rolls cost: the cheapest rolls that cover a length, as a table of every total that rolls can add up to.

Lengths are whole micrometres here, so that sums are exact and the same input gives the same plan byte for byte.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.units import Metre

PER_M = 1_000_000
_MOST_OF_ONE = 12


def micrometres(metres: Metre) -> int:
    """A length in whole micrometres.

    Args:
        metres: Length. [m]
    """
    return round(metres * PER_M)


@dataclass(frozen=True, slots=True)
class Buy:
    """The cheapest rolls for one group of demands that are cut end to end from them.

    Attributes:
        cost: Price of the rolls, the joins between them and the unusable offcut.
        counts: Number of rolls of each stock length.
        rolls: Number of rolls.
    """

    cost: float
    counts: tuple[int, ...]
    rolls: int


@dataclass
class Stock:
    """Roll lengths with their prices, and the table of totals they can add up to.

    A group of demands cut end to end from R rolls needs R - 1 joins, wherever the cuts fall, so its cost depends on
    the sum of its lengths alone.

    Attributes:
        lengths: Roll lengths, longest first. [micrometre]
        prices: Price of each.
        join: Cost of one join.
        offcut_per_m: Cost of a metre of offcut too short to keep.
        useful: Shortest offcut worth keeping. [micrometre]
        total: Greatest sum that will be asked for. [micrometre]
        totals: Every total that rolls can add up to, rising. [micrometre]
        complete: False when odd roll lengths leave totals out of that table.
    """

    lengths: tuple[int, ...]
    prices: tuple[float, ...]
    join: float
    offcut_per_m: float
    useful: int
    total: int
    totals: list[int] = field(init=False, repr=False)
    complete: bool = field(init=False, default=True)
    _costs: list[float] = field(init=False, repr=False)
    _counts: list[tuple[int, ...]] = field(init=False, repr=False)
    _after: list[int] = field(init=False, repr=False)
    _known: dict[int, Buy] = field(init=False, repr=False, default_factory=dict)

    def __post_init__(self) -> None:
        best = self.best
        others = [s for s in range(len(self.lengths)) if s != best]
        most = [self.lengths[best] // math.gcd(self.lengths[best], self.lengths[s]) for s in others]
        self.complete = all(n <= _MOST_OF_ONE for n in most)
        ranges = [range(min(n, _MOST_OF_ONE)) for n in most]
        table: dict[int, tuple[float, int, tuple[int, ...]]] = {}
        for chosen in itertools.product(*ranges):
            counts = [0] * len(self.lengths)
            for s, n in zip(others, chosen, strict=True):
                counts[s] = n
            self._add(table, counts, best)
        self.totals = sorted(table)
        self._costs = [table[a][0] for a in self.totals]
        self._counts = [table[a][2] for a in self.totals]
        self._after = list(range(len(self.totals)))
        for k in range(len(self.totals) - 2, -1, -1):
            if (self._costs[self._after[k + 1]], self._rolls(self._after[k + 1])) < (self._costs[k], self._rolls(k)):
                self._after[k] = self._after[k + 1]

    def _add(self, table: dict[int, tuple[float, int, tuple[int, ...]]], counts: list[int], best: int) -> None:
        length = sum(n * a for n, a in zip(counts, self.lengths, strict=True))
        price = sum(n * p for n, p in zip(counts, self.prices, strict=True))
        rolls = sum(counts)
        step = self.lengths[best]
        n = 0
        while True:
            counts[best] = n
            if rolls + n > 0:
                row = (price + n * self.prices[best] + self.join * (rolls + n), rolls + n, tuple(counts))
                total = length + n * step
                if total not in table or row[:2] < table[total][:2]:
                    table[total] = row
            if length + n * step > self.total + self.useful + step:
                return
            n += 1

    def _rolls(self, k: int) -> int:
        return sum(self._counts[k])

    @property
    def best(self) -> int:
        """Index of the stock length that is cheapest per metre, its join counted."""
        return min(range(len(self.lengths)), key=lambda s: ((self.prices[s] + self.join) / self.lengths[s], s))

    @property
    def longest(self) -> int:
        """The longest roll. [micrometre]"""
        return self.lengths[0]

    def penalty(self, left: int) -> float:
        """Cost of one leftover piece: nothing when it is worth keeping.

        Args:
            left: Length left on a roll. [micrometre]
        """
        return self.offcut_per_m * left / PER_M if left < self.useful else 0.0

    def buy(self, length: int) -> Buy:
        """The cheapest rolls for a group of demands.

        Args:
            length: Sum of their lengths. [micrometre]
        """
        known = self._known.get(length)
        if known is not None:
            return known
        best: tuple[float, int, int] | None = None
        k = bisect_left(self.totals, length)
        while self.totals[k] < length + self.useful:
            row = (self._costs[k] + self.penalty(self.totals[k] - length), self._rolls(k), k)
            best = row if best is None or row[:2] < best[:2] else best
            k += 1
        k = self._after[k]
        row = (self._costs[k], self._rolls(k), k)
        best = row if best is None or row[:2] < best[:2] else best
        bought = Buy(best[0] - self.join, self._counts[best[2]], best[1])
        self._known[length] = bought
        return bought

    def single(self, length: int) -> Buy | None:
        """The cheapest single roll for demands that must not be joined; None when they fit on none.

        Args:
            length: Sum of their lengths. [micrometre]
        """
        fits = [(self.prices[s] + self.penalty(self.lengths[s] - length), -s)
                for s in range(len(self.lengths)) if self.lengths[s] >= length]
        if not fits:
            return None
        cost, s = min(fits)
        return Buy(cost, tuple(int(k == -s) for k in range(len(self.lengths))), 1)

    def waste(self, length: int) -> int:
        """The least that any rolls leave over when they cover a length. [micrometre]

        Args:
            length: Length to cover. [micrometre]
        """
        return self.totals[bisect_left(self.totals, length)] - length


def stock_of(stock: Mapping[Metre, float], *, join_cost: float, offcut_cost_per_m: float, min_useful_m: Metre,
             total: int) -> Stock:
    """The table of one item's stock.

    Args:
        stock: Roll length to price. [m]
        join_cost: Cost of one join.
        offcut_cost_per_m: Cost of a metre of offcut too short to keep.
        min_useful_m: Shortest offcut worth keeping. [m]
        total: Greatest sum that will be asked for. [micrometre]
    """
    lengths = sorted(stock, reverse=True)
    return Stock(tuple(micrometres(a) for a in lengths), tuple(float(stock[a]) for a in lengths),
                 join_cost, offcut_cost_per_m, micrometres(min_useful_m), total)
