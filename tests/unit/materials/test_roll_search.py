"""The search for groupings of very many demands."""

from __future__ import annotations

import math
import random

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.materials.roll_search import _closing, filled_groups
from planner.materials.roll_stock import Stock


def test_very_many_demands_are_each_in_one_group_within_a_hundredth_of_what_their_length_must_cost():
    dice = random.Random(7)
    lengths = [dice.randrange(20_000_000, 420_000_000) for _ in range(900)]
    total = sum(lengths)
    stock = Stock(lengths=(200_000_000,), prices=(300.0,), join=4.0, offcut_per_m=0.0, useful=10_000_000, total=total)
    most = math.ceil(total / 200_000_000) + 3
    groups = filled_groups(lengths, stock, most, 0.2)
    assert sorted(k for group in groups for k in group) == list(range(len(lengths)))
    buys = [stock.buy(sum(lengths[k] for k in group)) for group in groups]
    assert sum(buy.rolls for buy in buys) <= most
    assert sum(buy.cost for buy in buys) <= 1.01 * (total / 200_000_000) * 304.0


def plain_closing(total, values, targets, tolerance, more):
    """One total after the other: of the four ways that leave least over, the first whose demands are all different."""
    firsts = {1: [()], 2: [(a,) for a in range(len(values))],
              3: [(a, b) for a in range(len(values)) for b in range(a + 1, len(values))]}[more]
    best = None
    for target in targets:
        if target <= total:
            continue
        ways = []
        for chosen in firsts:
            room = target - total - sum(values[k] for k in chosen)
            fits = [k for k, value in enumerate(values) if value <= room]
            ways.append((room - values[fits[-1]], (*chosen, fits[-1])) if fits else (math.inf, (*chosen, -1)))
        for gap, chosen in sorted(ways, key=lambda way: way[0])[:4]:
            if gap <= tolerance and len(set(chosen)) == len(chosen):
                best = min(best or (gap, chosen), (gap, chosen), key=lambda way: way[0])
                break
    return best and best[1]


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 60), st.lists(st.integers(1, 40), max_size=12), st.sets(st.integers(1, 150), min_size=1),
       st.integers(0, 12), st.sampled_from([1, 2, 3]))
def test_rolls_are_closed_as_trying_one_total_after_the_other_closes_them(total, values, targets, tolerance, more):
    values, totals = sorted(values), sorted(targets)
    expected = plain_closing(total, values, totals, tolerance, more) if len(values) >= more else None
    assert _closing(total, values, totals, tolerance, more) == expected
