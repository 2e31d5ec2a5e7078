"""The search for groupings of very many demands."""

from __future__ import annotations

import math
import random

from planner.materials.roll_search import filled_groups
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
