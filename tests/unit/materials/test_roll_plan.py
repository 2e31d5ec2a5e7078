"""Roll plans: against brute force, against worked examples, and at their limits."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from unit.materials.brute_force import cheapest

from planner.errors import OutOfRange
from planner.materials import roll_exact
from planner.materials.roll_plan import RollDemand, RollPlan, greedy_rolls, plan_rolls, settle_joins

HILL = (262.6, 263.7, 314.0, 293.2, 281.5)
"""Slope lengths of five sections over a ridge and a gully, 0.3 m of mesh at each end included: 1 415.0 m."""
CREEK = (307.0,) * 4 + (303.0,) * 4
"""Barbed wire on both sides of a creek, 1.5 m at each end included: 2 440 m."""


def demands_of(lengths: Sequence[float], allowed: Mapping[int, tuple[float, ...]] | None = None) -> list[RollDemand]:
    return [RollDemand(f"A{k + 1}", "sub-run 1", 0.0, d, d, None if allowed is None else allowed.get(k))
            for k, d in enumerate(lengths)]


def plan_of(lengths: Sequence[float], stock: Mapping[float, float], *, join_cost: float = 8.0,
            min_useful_m: float = 10.0, joins_allowed: bool = True, seconds: float = 2.0,
            offcut_cost_per_m: float = 1.8) -> RollPlan:
    return plan_rolls(demands_of(lengths), item="mesh", stock=stock, join_cost=join_cost, min_useful_m=min_useful_m,
                      joins_allowed=joins_allowed, seconds=seconds, offcut_cost_per_m=offcut_cost_per_m)


def assert_covers(plan: RollPlan, lengths: Sequence[float], *, min_useful_m: float = 10.0) -> None:
    """Every demand exactly once, end to end, no roll over-used, no piece too short."""
    pieces: dict[int, list[tuple[float, float]]] = {}
    for roll in plan.rolls:
        assert math.fsum(c.length_m for c in roll.cuts) + roll.left_m == pytest.approx(roll.length_m, abs=1e-6)
        assert roll.left_m >= 0.0
        assert roll.cuts
        for c in roll.cuts:
            pieces.setdefault(c.demand, []).append((c.start_m, c.length_m))
            assert c.from_m == pytest.approx(c.start_m, abs=1e-6)
            assert c.to_m == pytest.approx(c.start_m + c.length_m, abs=1e-6)
    assert sorted(pieces) == list(range(len(lengths)))
    for k, found in pieces.items():
        at = 0.0
        for start, length in sorted(found):
            assert start == pytest.approx(at, abs=1e-6)
            assert length >= min(min_useful_m, lengths[k]) - 1e-6
            at += length
        assert at == pytest.approx(lengths[k], abs=1e-6)


def test_mesh_over_the_hill_takes_eight_rolls_and_five_joins():
    plan = plan_of(HILL, {200.0: 360.0})
    assert (len(plan.rolls), plan.joins, plan.status, plan.gap) == (8, 5, "optimal", 0.0)
    assert sum(r.left_m for r in plan.rolls) == pytest.approx(185.0)
    assert plan.cost == pytest.approx(8 * 360.0 + 5 * 8.0)
    assert_covers(plan, HILL)


def test_a_creek_takes_five_coils_with_joins_and_eight_without():
    joined = plan_of(CREEK, {500.0: 500.0}, join_cost=4.0, offcut_cost_per_m=1.0)
    whole = plan_of(CREEK, {500.0: 500.0}, join_cost=4.0, offcut_cost_per_m=1.0, joins_allowed=False)
    assert (len(joined.rolls), joined.status) == (5, "optimal")
    assert (len(whole.rolls), whole.joins, whole.status) == (8, 0, "optimal")
    assert_covers(joined, CREEK)
    assert_covers(whole, CREEK)


def cases(seed: int, number: int, most: int, longest: int) -> list[tuple[Any, ...]]:
    dice = random.Random(seed)
    stocks = ({10: 36.0}, {10: 36.0, 5: 19.0}, {10: 10.0, 5: 5.0}, {10: 32.0, 5: 15.0, 15: 54.0}, {12: 40.0},
              {10: 20.0, 7: 14.5})
    found = []
    for _ in range(number):
        stock, allowed = dice.choice(stocks), dice.random() < 0.75
        lengths = [dice.randint(2, longest) for _ in range(dice.randint(1, most))]
        if not allowed:
            lengths = [min(d, max(stock)) for d in lengths]
        found.append((tuple(lengths), stock, dice.choice((0.5, 1.0, 4.0)), dice.choice((1, 2, 3)),
                      3.6 if max(stock.values()) > 20 else 1.0, allowed))
    return found


@pytest.mark.parametrize(("lengths", "stock", "join", "useful", "offcut", "allowed"),
                         [*cases(1, 60, 3, 13), *cases(2, 10, 4, 9), *cases(4, 4, 5, 6)])
def test_equals_brute_force(lengths, stock, join, useful, offcut, allowed):
    plan = plan_of(lengths, {float(a): p for a, p in stock.items()}, join_cost=join, min_useful_m=useful,
                   joins_allowed=allowed, offcut_cost_per_m=offcut)
    most = len(plan.rolls) if not allowed else greedy_rolls(
        demands_of(lengths), stock={float(a): p for a, p in stock.items()}, join_cost=join, min_useful_m=useful,
        offcut_cost_per_m=offcut)
    best = cheapest(lengths, stock, join=join, useful=useful, offcut=offcut, joins_allowed=allowed, most_rolls=most)
    assert plan.cost == pytest.approx(best)
    assert plan.status == "optimal"
    assert_covers(plan, lengths, min_useful_m=useful)


def test_a_piece_too_short_to_handle_is_never_cut():
    # 205 + 195 fill two rolls of 200, but only with a piece of 5 m; one more join keeps every piece at 10 m or more
    plan = plan_of([205.0, 195.0], {200.0: 360.0})
    assert (len(plan.rolls), plan.joins) == (2, 2)
    assert_covers(plan, [205.0, 195.0])
    assert plan.status == "optimal"


def test_a_demand_longer_than_every_roll_is_joined_even_where_joins_are_not_allowed():
    plan = plan_of([1200.0, 300.0], {500.0: 500.0}, joins_allowed=False)
    assert plan.joins == 2
    assert len(plan.rolls) == 3  # the third holds the last 200 m and the 300 m
    assert_covers(plan, [1200.0, 300.0])


@pytest.mark.parametrize("stock", [
    {200.0: 360.0}, {100.0: 190.0}, {50.0: 100.0, 100.0: 190.0, 200.0: 360.0}, {200.0: 200.0, 100.0: 100.0, 50.0: 50.0},
    {50.0: 70.0, 100.0: 150.0, 200.0: 320.0}, {402.336: 402.0}, {182.88: 183.0, 100.584: 101.0}])
@pytest.mark.parametrize("number", [60, 200])
def test_many_sections_come_within_one_and_a_half_percent_of_the_bound(stock, number):
    dice = random.Random(number)
    lengths = [round(dice.uniform(25.0, 250.0), 2) for _ in range(number)]
    plan = plan_of(lengths, stock)
    assert 0.0 <= plan.gap < 0.015
    assert plan.gap == pytest.approx((plan.cost - plan.bound) / plan.bound)
    assert_covers(plan, lengths)
    most = greedy_rolls(demands_of(lengths), stock=stock, join_cost=8.0, min_useful_m=10.0, offcut_cost_per_m=1.8)
    assert math.ceil(sum(lengths) / max(stock)) <= len(plan.rolls) <= most


def test_eight_wires_through_many_sections_are_quick_and_tight():
    dice = random.Random(5)
    lengths = [round(dice.uniform(25.0, 450.0), 2) for _ in range(60)] * 8
    for coil in (500.0, 1500.0):
        plan = plan_of(lengths, {coil: coil}, join_cost=4.0, offcut_cost_per_m=1.0)
        assert plan.gap < 0.005
        assert len(plan.rolls) == math.ceil(sum(lengths) / coil)
        assert_covers(plan, lengths)


def test_the_cost_is_that_of_the_rolls_joins_and_short_offcuts():
    plan = plan_of([95.0, 60.0], {100.0: 100.0}, join_cost=30.0)
    assert plan.joins == 0
    assert sorted(r.left_m for r in plan.rolls) == [5.0, 40.0]
    assert plan.cost == pytest.approx(2 * 100.0 + 5.0 * 1.8)


def test_an_offcut_of_just_the_useful_length_is_kept():
    assert plan_of([90.0], {100.0: 100.0}).cost == pytest.approx(100.0)
    assert plan_of([90.001], {100.0: 100.0}).cost == pytest.approx(100.0 + 9.999 * 1.8)


def test_the_same_input_gives_the_same_plan():
    dice = random.Random(3)
    lengths = [round(dice.uniform(25.0, 250.0), 2) for _ in range(80)]
    assert plan_of(lengths, {200.0: 360.0, 100.0: 190.0}) == plan_of(lengths, {100.0: 190.0, 200.0: 360.0})


def test_nothing_to_cover_takes_no_roll():
    assert plan_of([], {200.0: 1.0}).rolls == ()
    assert plan_of([0.0], {200.0: 1.0}).rolls == ()


def test_no_stock_is_refused():
    with pytest.raises(OutOfRange, match="item 'mesh': no roll length is known"):
        plan_of([10.0], {})


@pytest.mark.parametrize("length", [math.nan, math.inf, -1.0])
def test_a_length_that_is_none_is_refused(length):
    with pytest.raises(OutOfRange, match="section A1, sub-run 1"):
        plan_of([length], {200.0: 1.0})


@pytest.mark.parametrize("stock", [{0.0: 1.0}, {200.0: -1.0}, {math.nan: 1.0}])
def test_a_roll_that_is_none_is_refused(stock):
    with pytest.raises(OutOfRange, match="cannot be planned with"):
        plan_of([10.0], stock)


def middles(length: float, panel: float = 5.0) -> tuple[float, ...]:
    """Mid-panel places, at least one panel from the ends."""
    number = math.ceil(length / panel)
    return tuple((k + 0.5) * length / number for k in range(1, number - 1))


def settled(lengths: Sequence[float], allowed: Mapping[int, tuple[float, ...]],
            stock: Mapping[float, float]) -> RollPlan:
    demands = demands_of(lengths, allowed)
    plan = plan_of(lengths, stock)
    moved = settle_joins(plan, demands)
    assert [r.length_m for r in moved.rolls] == [r.length_m for r in plan.rolls]
    assert moved.joins == plan.joins
    assert_covers(moved, lengths)
    return moved


def join_places(plan: RollPlan) -> list[tuple[int, float]]:
    return sorted((c.demand, c.start_m) for r in plan.rolls for c in r.cuts if c.start_m > 0.0)


def test_every_roll_join_over_the_hill_is_settled_at_mid_panel():
    allowed = {k: middles(d) for k, d in enumerate(HILL)}
    plan = settled(HILL, allowed, {200.0: 360.0})
    assert plan.unsettled == ()
    assert len(join_places(plan)) == 5
    for demand, at in join_places(plan):
        assert min(abs(at - place) for place in allowed[demand]) < 1e-5
    assert plan.cost == pytest.approx(
        8 * 360.0 + 5 * 8.0 + 1.8 * sum(r.left_m for r in plan.rolls if r.left_m < 10.0))


def test_the_order_of_pieces_settles_a_join_without_slack():
    # 300 = 200 + 100 off two full rolls; only 100 from the start is allowed
    plan = settled([300.0, 100.0], {0: (100.0,), 1: (50.0,)}, {200.0: 360.0})
    assert join_places(plan) == [(0, 100.0)]
    assert plan.unsettled == ()
    assert plan.status == "optimal"


def test_a_join_that_cannot_be_settled_stays_and_is_listed():
    plan = settled([400.0], {0: (150.0,)}, {200.0: 360.0})
    assert plan.unsettled == ((0, 200.0),)


def test_joins_without_allowed_places_stay_where_they_are():
    demands = demands_of(HILL)
    plan = plan_of(HILL, {200.0: 360.0})
    assert settle_joins(plan, demands) == plan


def test_settling_many_sections_keeps_every_length():
    dice = random.Random(8)
    lengths = [round(dice.uniform(60.0, 250.0), 2) for _ in range(40)]
    settled(lengths, {k: middles(d) for k, d in enumerate(lengths)}, {200.0: 360.0})


def test_very_many_very_short_demands_are_each_in_one_piece():
    plan = plan_of([4.0 + 0.004 * (k % 1000) for k in range(700)], {1500.0: 187.0, 648.0: 92.4})
    assert plan.joins == 0
    assert plan.status != "greedy"


@pytest.mark.parametrize(("lengths", "rolls"), [
    ((7803.0,), 40), ((3900.0, 3903.0), 40), ((2600.5, 2600.5, 2604.0), 40), ((7800.0, 5.0, 6.0), 40),
    ((1223.6, 1575.7, 2455.8, 2207.8, 1733.6, 2426.3), 59)])
def test_a_few_very_long_demands_are_planned_in_few_steps(lengths, rolls, monkeypatch):
    """A last piece of 3 m of one strain of 7 803 m sends the plan to the exact search, with 40 rolls for one demand."""
    searches: list[roll_exact._Search] = []
    begin = roll_exact._Search.try_mix
    monkeypatch.setattr(roll_exact._Search, "try_mix", lambda search, *mix: (searches.append(search),
                                                                             begin(search, *mix))[1])
    plan = plan_of(lengths, {200.0: 360.0}, seconds=1.0)
    assert len(plan.rolls) == rolls
    assert plan.gap < 0.001
    assert_covers(plan, lengths)
    assert max((search.steps for search in searches), default=0) <= 1.1 * roll_exact._STEPS_MOST


def test_what_is_left_of_forty_rolls_is_kept_in_pieces_worth_keeping():
    """40 rolls leave 197 m of 8 000 m: no piece, and nothing that is left, is shorter than 10 m."""
    plan = plan_of((7803.0,), {200.0: 360.0})
    assert (plan.status, plan.joins, plan.cost) == ("optimal", 39, pytest.approx(40 * 360.0 + 39 * 8.0))
    assert all(roll.left_m == 0.0 or roll.left_m >= 10.0 for roll in plan.rolls)
