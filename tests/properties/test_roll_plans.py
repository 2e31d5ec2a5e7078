"""Whatever has to be covered: every roll plan covers it exactly, and never from more rolls than unrolling in order."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.materials.roll_plan import RollDemand, RollPlan, greedy_rolls, plan_rolls, settle_joins

LENGTHS = st.lists(st.floats(0.5, 900.0), min_size=1, max_size=24)
STOCKS = st.dictionaries(st.sampled_from([50.0, 100.0, 183.0, 200.0, 402.3, 500.0]), st.floats(10.0, 900.0), min_size=1,
                         max_size=3)


def check_cover(plan: RollPlan, demands: list[RollDemand], useful: float) -> None:
    longest = max(r.length_m for r in plan.rolls)
    pieces: dict[int, list[tuple[float, float, float, float]]] = {}
    for roll in plan.rolls:
        assert abs(math.fsum(c.length_m for c in roll.cuts) + roll.left_m - roll.length_m) < 1e-5
        assert roll.left_m >= 0.0
        for c in roll.cuts:
            pieces.setdefault(c.demand, []).append((c.start_m, c.length_m, c.from_m, c.to_m))
    assert sum(len(p) - 1 for p in pieces.values()) == plan.joins
    for k, d in enumerate(demands):
        at = 0.0
        for start, length, from_m, to_m in sorted(pieces[k]):
            assert abs(start - at) < 1e-5
            least = min(useful, d.length_m / math.ceil(d.length_m / longest))
            assert plan.status == "greedy" or length >= least - 1e-5
            assert d.from_m - 1e-6 <= from_m <= to_m <= d.to_m + 1e-6
            at += length
        assert abs(at - d.length_m) < 1e-5


@settings(max_examples=60, deadline=None)
@given(LENGTHS, STOCKS, st.floats(0.0, 40.0), st.sampled_from([0.0, 5.0, 10.0, 20.0]), st.booleans())
def test_a_plan_covers_every_demand_exactly(lengths, stock, join_cost, useful, joins_allowed):
    demands = [RollDemand(f"A{k}", "wire", 10.0 * k, 10.0 * k + d, d) for k, d in enumerate(lengths)]
    plan = plan_rolls(demands, item="wire", stock=stock, join_cost=join_cost, min_useful_m=useful,
                      joins_allowed=joins_allowed, seconds=0.2, offcut_cost_per_m=1.0)
    check_cover(plan, demands, useful)
    assert plan.bound <= plan.cost + 1e-9
    assert (plan.status == "optimal") == (plan.gap == 0.0)
    longest = max(stock)
    assert len(plan.rolls) >= math.ceil(sum(lengths) / longest - 1e-6)
    if joins_allowed:
        assert len(plan.rolls) <= greedy_rolls(demands, stock=stock, join_cost=join_cost, min_useful_m=useful,
                                               offcut_cost_per_m=1.0)
    prices = math.fsum(stock[r.length_m] for r in plan.rolls)
    lost = math.fsum(r.left_m for r in plan.rolls if r.left_m < useful - 1e-7)
    assert abs(plan.cost - (prices + join_cost * plan.joins + lost)) < 1e-4


@settings(max_examples=60, deadline=None)
@given(LENGTHS, st.floats(2.0, 20.0), st.data())
def test_settling_joins_changes_neither_rolls_nor_lengths(lengths, panel, data):
    demands = []
    for k, d in enumerate(lengths):
        number = math.ceil(d / panel)
        allowed = tuple((j + 0.5) * d / number for j in range(1, number - 1))
        demands.append(RollDemand(f"A{k}", "sub-run 1", 0.0, d, d, allowed if data.draw(st.booleans()) else None))
    plan = plan_rolls(demands, item="mesh", stock={200.0: 360.0}, join_cost=8.0, min_useful_m=10.0, joins_allowed=True,
                      seconds=0.2, offcut_cost_per_m=1.8)
    moved = settle_joins(plan, demands)
    check_cover(moved, demands, 10.0)
    assert [r.length_m for r in moved.rolls] == [r.length_m for r in plan.rolls]
    assert moved.joins == plan.joins
    missed = set(moved.unsettled)
    for roll in moved.rolls:
        for c in roll.cuts:
            allowed = demands[c.demand].allowed_m
            if c.start_m > 0.0 and allowed is not None:
                settled = any(abs(c.start_m - place) < 2e-6 for place in allowed)
                assert settled != any(k == c.demand and abs(at - c.start_m) < 2e-6 for k, at in missed)
