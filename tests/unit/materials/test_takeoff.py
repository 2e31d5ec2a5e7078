"""Takeoff: each rule by hand count, whole packs, confidence, and the sum of the sections."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import pytest
from unit.materials.works_of import (
    APRON,
    BARB,
    CATALOGUE,
    ITEMS,
    MESH,
    PLAIN,
    crossing_of,
    fence_of,
    gate_of,
    work_of,
)

from planner.errors import BadFenceType
from planner.materials.roll_plan import RollPlan, plan_rolls
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import TakeoffRow, roll_demands, sums_by, take_off
from planner.settings import Settings
from planner.spec.wires import Strand

PLAIN_SETTINGS = Settings().changed({"waste_wire": 0.0, "waste_mesh": 0.0, "waste_posts": 0.0, "waste_fixings": 0.0})


def plans_of(works: list[SectionWork]) -> dict[str, RollPlan]:
    wanted = roll_demands(works, catalogue=CATALOGUE, settings=Settings(), allowed={})
    return {item: plan_rolls(demands, item=item, stock={a: a for a in ITEMS[item].stock_m}, join_cost=4.0,
                             min_useful_m=10.0, joins_allowed=True, seconds=1.0, offcut_cost_per_m=1.0)
            for item, demands in wanted.items()}


def rows_of(*works: SectionWork, settings: Settings = PLAIN_SETTINGS) -> dict[str, TakeoffRow]:
    rows = take_off(works, catalogue=CATALOGUE, settings=settings, roll_plans=plans_of(list(works)))
    for row in rows:
        assert row.net == math.fsum(q for _, q in row.by_section)
        assert row.rule
        assert row.order >= row.net + row.waste - 1e-9
        assert row.confidence >= row.order
        assert sum(size * n for size, n in row.lots) == pytest.approx(row.order)
    return {row.item: row for row in rows}


def test_mesh_and_wires_take_their_slope_length_and_a_tail_at_each_end_of_the_section():
    rows = rows_of(work_of("A1", 262.0, fence_of(PLAIN, BARB, mesh=MESH), plan_m=260.0, cuts=(100.0,)))
    assert rows["mesh"].net == pytest.approx(262.0 + 2 * 0.3)
    assert rows["plain"].net == pytest.approx(262.0 + 2 * 1.5)
    assert rows["barb"].net == pytest.approx(265.0)


def test_two_strands_of_one_item_are_counted_twice():
    rows = rows_of(work_of("A1", 100.0, fence_of(BARB, replace(BARB, name="low barb"))))
    assert rows["barb"].net == pytest.approx(2 * 103.0)


def test_posts_are_counted_by_item_and_ends_by_their_parts():
    rows = rows_of(work_of("A1", 100.0, fence_of(BARB), steel=12, timber=3, ends=2))
    assert (rows["steel"].net, rows["timber"].net) == (12, 3)
    assert (rows["strainer"].net, rows["brace-post"].net, rows["brace-wire"].net) == (2, 2, 24)
    assert (rows["steel"].order, rows["steel"].packs, rows["steel"].left_over) == (20, 2, 8)


def test_each_further_direction_of_pull_adds_its_own_parts():
    rows = rows_of(work_of("A1", 100.0, fence_of(BARB), ends=1, directions=3))
    assert (rows["strainer"].net, rows["brace-post"].net, rows["stay-rail"].net) == (1, 3, 3)


def test_wires_are_tied_to_steel_and_stapled_to_timber():
    rows = rows_of(work_of("A1", 100.0, fence_of(BARB, PLAIN), steel=12, timber=7))
    assert rows["tie"].net == 2 * 12
    assert rows["staple"].net == pytest.approx(2 * 7 / 140, abs=1e-4)


def test_every_second_post_is_half_of_them_rounded_up():
    rows = rows_of(work_of("A1", 100.0, fence_of(replace(BARB, tie="every-second-post")), steel=9))
    assert rows["tie"].net == 5


def test_no_tie_means_none():
    assert "tie" not in rows_of(work_of("A1", 100.0, fence_of(replace(BARB, tie="none")), steel=9))


def test_mesh_takes_ties_on_steel_and_staples_on_timber():
    rows = rows_of(work_of("A1", 100.0, fence_of(mesh=MESH), steel=12, timber=7))
    assert rows["tie"].net == 3 * 12
    assert rows["staple"].net == pytest.approx(4 * 7 / 140)


def test_droppers_hang_in_each_panel_with_a_clip_for_each_wire_that_says_so():
    fence = fence_of(replace(BARB, tie="droppers-too"), PLAIN, droppers_per_panel=2, dropper_item="dropper",
                     dropper_clip_item="clip")
    rows = rows_of(work_of("A1", 100.0, fence, steel=9))
    assert rows["dropper"].net == 2 * 10
    assert rows["clip"].net == 20
    assert rows["tie"].net == 18


def test_every_line_wire_takes_a_sleeve_at_each_mid_run_join():
    work = work_of("A1", 300.0, fence_of(PLAIN, BARB, mesh=MESH), cuts=(100.0, 200.0))
    rows = rows_of(work)
    assert plans_of([work])["mesh"].joins == 1  # sub-runs of 100.3, 100 and 100.3 m off two rolls of 200 m
    assert rows["sleeve"].net == (2 + 1) * 8 + 2 * 1  # barbed wire is twisted together, without a sleeve


def test_roll_joins_take_sleeves_too():
    work = work_of("A1", 350.0, fence_of(mesh=MESH))
    assert plans_of([work])["mesh"].joins == 1
    assert rows_of(work)["sleeve"].net == 8


def test_ends_of_wires_take_their_fittings():
    rows = rows_of(work_of("A1", 100.0, fence_of(replace(PLAIN, end_items=("insulator",)))))
    assert rows["insulator"].net == 2


def test_netting_takes_rings_by_the_metre():
    rows = rows_of(work_of("A1", 100.5, fence_of(BARB, nettings=(APRON,))))
    assert rows["netting"].net == pytest.approx(101.1)
    assert rows["ring"].net == 804


def test_a_rail_is_counted_by_the_metre_and_bought_in_whole_rails():
    rail = Strand("rail", 1.2, "rail", "rail", 0.0, "none", "", 0.0)
    row = rows_of(work_of("A1", 100.0, fence_of(rail)))["rail"]
    assert (row.net, row.packs, row.order) == (100.0, 21, pytest.approx(100.8))


def test_a_gate_opening_takes_a_gate_and_nothing_else():
    assert {k: r.net for k, r in rows_of(gate_of("A2", fence_of(BARB, mesh=MESH))).items()} == {"gate-3600": 1}


def test_a_crossing_hangs_from_its_own_cable():
    rows = rows_of(crossing_of("A2", 36.0, fence_of(BARB, mesh=MESH)))
    assert "barb" not in rows
    assert "mesh" not in rows
    assert rows["steel-cable-6mm"].net == pytest.approx(36.0 * (1 + 8 / 3 * 0.05**2) + 3.0)
    assert rows["floodgate-dropper"].net == 36
    assert rows["shackle"].net == 36 + 2
    assert rows["cable-grip"].net == 6
    assert rows["floodgate-netting"].net == pytest.approx(36.6)
    assert rows["strainer"].net == 2


def test_hold_downs_take_the_parts_of_their_rung():
    rows = rows_of(work_of("A1", 100.0, fence_of(BARB), steel=5, hold_downs=(
        "footed post", "second post at 45 deg", "buried log or stone", "separate section", "longer post")))
    assert (rows["footing-plate"].net, rows["anchor-post"].net, rows["buried-log"].net) == (1, 1, 1)
    assert rows["brace-wire"].net == 8


def test_waste_comes_before_rounding_and_the_margin_after_it():
    row = rows_of(work_of("A1", 100.0, fence_of(BARB), steel=98), settings=Settings())["steel"]
    assert (row.net, row.waste, row.packs, row.order) == (98, pytest.approx(1.96), 10, 100)
    assert row.left_over == pytest.approx(0.04)


def test_a_pack_that_is_just_filled_is_enough():
    row = rows_of(work_of("A1", 100.0, fence_of(BARB), steel=100))["steel"]
    assert (row.packs, row.left_over) == (10, 0.0)


def test_rolls_are_bought_as_planned_and_more_only_for_waste_that_is_not_covered():
    enough = rows_of(work_of("A1", 190.0, fence_of(mesh=MESH)), settings=Settings())["mesh"]
    assert (enough.packs, enough.lots) == (1, ((200.0, 1),))
    short = rows_of(work_of("A1", 198.0, fence_of(mesh=MESH)), settings=Settings())["mesh"]
    assert (short.packs, short.order, short.lots) == (2, 400.0, ((200.0, 2),))
    mixed = rows_of(work_of("A1", 99.0, fence_of(BARB, nettings=(APRON,))), settings=Settings())["netting"]
    assert mixed.lots == ((100.0, 1), (50.0, 1))
    assert (mixed.packs, mixed.order, mixed.pack) == (2, 150.0, 100.0)


def test_an_item_without_a_roll_plan_is_ordered_in_its_rolls_all_the_same():
    rows = take_off([work_of("A1", 350.0, fence_of(mesh=MESH))], catalogue=CATALOGUE, settings=PLAIN_SETTINGS,
                    roll_plans={})
    assert next(r for r in rows if r.item == "mesh").packs == 2


def test_confidence_takes_the_normal_quantile_of_independent_sections_and_dependent_wires():
    works = [work_of("A1", 240.0, fence_of(BARB, replace(BARB, name="low barb")), sd_m=3.0),
             work_of("A2", 240.0, fence_of(BARB, replace(BARB, name="low barb")), sd_m=4.0, from_m=240.0)]
    sd = 2 * math.hypot(3.0, 4.0)
    for chance in (0.6, 0.9, 0.999):
        row = rows_of(*works, settings=PLAIN_SETTINGS.changed({"order_confidence": chance}))["barb"]
        needed = row.net + NormalDist().inv_cdf(chance) * sd
        assert row.confidence == 500.0 * math.ceil(needed / 500.0)
    assert rows_of(*works, settings=PLAIN_SETTINGS.changed({"order_confidence": 0.9}))["barb"].confidence == 1000.0
    assert rows_of(*works, settings=PLAIN_SETTINGS.changed({"order_confidence": 0.999}))["barb"].confidence == 1500.0


def test_posts_are_the_same_at_any_confidence():
    row = rows_of(work_of("A1", 240.0, fence_of(BARB), steel=10, sd_m=30.0))["steel"]
    assert row.confidence == row.order == 10


def test_rows_stand_in_the_order_of_the_work_and_the_sections_in_theirs():
    fence = fence_of(PLAIN, BARB, mesh=MESH)
    works = [work_of("A10", 100.0, fence, steel=5, ends=2), gate_of("A2", fence, from_m=100.0),
             work_of("A1", 100.0, fence, from_m=103.6, steel=5, ends=1)]
    rows = take_off(works, catalogue=CATALOGUE, settings=Settings(), roll_plans=plans_of(works))
    assert [r.item for r in rows] == ["mesh", "plain", "barb", "steel", "strainer", "brace-post", "stay-rail",
                                      "brace-wire", "gate-3600", "tie"]
    assert [s for s, _ in rows[0].by_section] == ["A10", "A1"]
    assert rows == take_off(works, catalogue=CATALOGUE, settings=Settings(), roll_plans=plans_of(works))


def test_quantities_are_summed_by_line():
    works = [work_of("A1", 100.0, fence_of(BARB), steel=5), work_of("B1", 50.0, fence_of(BARB), steel=2, line="ridge")]
    rows = take_off(works, catalogue=CATALOGUE, settings=PLAIN_SETTINGS, roll_plans={})
    sums = sums_by(rows, {w.section.id: w.line for w in works})
    assert dict(sums["creek"])["steel"] == 5
    assert dict(sums["ridge"]) == {"barb": 53.0, "steel": 2.0, "tie": 2.0}


def test_an_unknown_item_is_named_with_its_section():
    with pytest.raises(BadFenceType, match=r"section A1: 'gold-wire' is not in the item list; add it to items\.toml\."):
        rows_of(work_of("A1", 10.0, fence_of(replace(BARB, item="gold-wire"))))


def test_roll_demands_name_sub_runs_strands_and_allowed_places():
    work = work_of("A1", 202.0, fence_of(BARB, mesh=MESH), plan_m=200.0, cuts=(100.0,), from_m=0.0)
    wanted = roll_demands([work], catalogue=CATALOGUE, settings=Settings(), allowed={"A1": (12.5, 100.0, 150.0)})
    first, second = wanted["mesh"]
    assert (first.part, second.part) == ("sub-run 1", "sub-run 2")
    assert first.length_m == second.length_m == pytest.approx(101.3)
    assert first.allowed_m == pytest.approx((0.3 + 12.5 * 1.01,))
    assert second.allowed_m == pytest.approx((50.0 * 1.01,))
    assert [d.part for d in wanted["barb"]] == ["top barb"]
    assert wanted["barb"][0].allowed_m is None


def test_gates_ask_for_no_roll_and_cables_for_one_without_joins():
    wanted = roll_demands([gate_of("A1", fence_of(BARB)), crossing_of("A2", 36.0, fence_of(BARB), from_m=3.6)],
                          catalogue=CATALOGUE, settings=Settings(), allowed={})
    assert sorted(wanted) == ["floodgate-netting", "steel-cable-6mm"]
    assert wanted["steel-cable-6mm"][0].allowed_m == ()
