"""The cheapest roll plan found by trying everything, for whole-number lengths. Shares no code with the program."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache


def cheapest(lengths: tuple[int, ...], stock: Mapping[int, float], *, join: float, useful: int, offcut: float,
             joins_allowed: bool, most_rolls: int) -> float:
    """Cost of the cheapest plan: roll after roll, every way to cut it among the demands that are still open.

    Whole numbers are enough: with whole lengths and limits the pieces of some cheapest plan are whole, being the
    solution of a transport problem.
    """
    longest = max(stock)
    least = [min(useful, d / math.ceil(d / longest)) for d in lengths]

    @cache
    def best(left: tuple[int, ...], rolls: int) -> float:
        if not any(left):
            return 0.0
        if rolls == 0:
            return math.inf
        first = next(i for i, d in enumerate(left) if d)
        low = math.inf

        def cut(i: int, room: int, cost: float, after: tuple[int, ...]) -> None:
            nonlocal low
            if cost >= low:
                return
            if i == len(left):
                low = min(low, cost + (offcut * room if room < useful else 0.0) + best(after, rolls - 1))
                return
            d = left[i]
            if d == 0 or i != first:
                cut(i + 1, room, cost, (*after, d))
            if 0 < d <= room and d >= least[i]:
                cut(i + 1, room - d, cost, (*after, 0))
            if joins_allowed:
                for x in range(1, min(room, d - 1) + 1):
                    if x >= least[i] and d - x >= least[i]:
                        cut(i + 1, room - x, cost + join, (*after, d - x))

        for length, price in stock.items():
            cut(0, length, price, ())
        return low

    return best(lengths, most_rolls)
