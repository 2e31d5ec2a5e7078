"""Labour: components by hand count, and ground classes on posts and ends only."""

from __future__ import annotations

from dataclasses import replace

import pytest
from unit.materials.works_of import (
    APRON,
    BARB,
    CATALOGUE,
    MESH,
    PLAIN,
    RATES,
    crossing_of,
    fence_of,
    gate_of,
    work_of,
)

from planner.errors import BadFenceType
from planner.materials.labour import LabourRow, labour
from planner.materials.roll_plan import RollDemand, plan_rolls
from planner.materials.section_work import SectionWork


def hours_of(*works: SectionWork) -> dict[str, LabourRow]:
    rows = labour(works, catalogue=CATALOGUE, rolls={})
    for row in rows:
        assert row.hours == pytest.approx(row.quantity * row.hours_each * row.factor)
    return {row.component: row for row in rows}


def test_each_component_is_counted_in_its_own_unit():
    fence = fence_of(PLAIN, BARB, mesh=MESH, nettings=(APRON,))
    rows = hours_of(work_of("A1", 300.0, fence, cuts=(100.0,), steel=40, timber=10, ends=2, directions=2,
                            hold_downs=("footed post",)),
                    gate_of("A2", fence), crossing_of("A3", 36.0, fence))
    quantities = {name: row.quantity for name, row in rows.items()}
    assert quantities == {
        "set-out and guide wire": 300.0, "end assemblies, soil": 4, "further directions of pull, soil": 2,
        "steel line posts, soil": 40, "timber line posts, soil": 10, "hold-downs": 1, "wire": 600.0, "mesh": 300.0,
        "netting": 300.0, "tying off posts": 50, "tie-offs": 2, "mid-run joins": 1, "gates": 1, "crossings": 1}


def test_ledge_rock_trebles_the_posts_that_stand_in_it_and_nothing_else():
    soil = hours_of(work_of("A1", 250.0, fence_of(BARB), steel=50))
    both = hours_of(work_of("A1", 250.0, fence_of(BARB), steel=50),
                    work_of("A2", 270.0, fence_of(BARB), from_m=250.0, steel=54, ground="ledge"))
    ledge = both["steel line posts, ledge rock"]
    assert (ledge.quantity, ledge.factor) == (54, 3.0)
    assert ledge.hours == pytest.approx(54 * RATES.steel_post * 3.0)
    assert both["steel line posts, soil"] == soil["steel line posts, soil"]
    assert all(row.factor == 1.0 for name, row in both.items() if "ledge" not in name)


def test_rails_are_called_rails_and_keep_the_multiplier_of_wire():
    rail = replace(PLAIN, kind="rail", strain_n=0.0)
    work = work_of("A1", 100.0, fence_of(rail, rail, PLAIN), steel=10)
    rows, doubled = hours_of(work), factored([work], wire__=2.0)
    assert (rows["rails"].quantity, rows["wire"].quantity, rows["rails"].work) == (200.0, 100.0, "wire")
    assert doubled["rails"].hours == 2.0 * rows["rails"].hours


def test_ends_take_the_factor_for_ends():
    rows = hours_of(work_of("A1", 100.0, fence_of(BARB), ends=1, ground="ledge"))
    assert rows["end assemblies, ledge rock"].hours == pytest.approx(3.5 * 2.5)


def test_roll_joins_of_mesh_count_but_those_of_wire_do_not():
    demands = [RollDemand("A1", "sub-run 1", 0.0, 350.0, 350.6)]
    plan = plan_rolls(demands, item="mesh", stock={200.0: 1.0}, join_cost=0.1, min_useful_m=10.0, joins_allowed=True,
                      seconds=1.0, offcut_cost_per_m=0.0)
    wire = replace(plan, item="barb")
    rows = labour([work_of("A1", 350.0, fence_of(BARB, mesh=MESH))], catalogue=CATALOGUE,
                  rolls={"mesh": plan, "barb": wire})
    assert next(r for r in rows if r.component == "roll joins").quantity == plan.joins == 1


def test_two_fence_types_are_told_apart():
    other = replace(fence_of(BARB), key="other", name="other fence", labour=replace(RATES, steel_post=0.2))
    rows = hours_of(work_of("A1", 100.0, fence_of(BARB), steel=10), work_of("B1", 100.0, other, steel=10))
    assert rows["steel line posts, soil (test fence)"].hours == pytest.approx(0.75)
    assert rows["steel line posts, soil (other fence)"].hours == pytest.approx(2.0)


def test_an_unknown_ground_class_is_named():
    with pytest.raises(BadFenceType, match="there is no ground class 'lava'; use one of soil, ledge"):
        hours_of(work_of("A1", 100.0, fence_of(BARB), steel=1, ground="lava"))


def factored(works: list[SectionWork], **factors: float) -> dict[str, LabourRow]:
    named = {(key.partition("__")[0].replace("_", " "), key.partition("__")[2]): value
             for key, value in factors.items()}
    return {row.component: row for row in labour(works, catalogue=CATALOGUE, rolls={}, factors=named)}


def test_a_multiplier_of_the_crews_own_takes_the_place_of_the_ground_class():
    work = work_of("A1", 250.0, fence_of(BARB), steel=50, ends=2, ground="ledge")
    rows = factored([work], steel_line_posts__ledge=4.5, end_assemblies__soil=9.0)
    assert rows["steel line posts, ledge rock"].factor == 4.5
    assert rows["end assemblies, ledge rock"].factor == 2.5, "the ground class stands where nothing else is said"


def test_a_multiplier_everywhere_comes_on_top():
    work = work_of("A1", 250.0, fence_of(BARB), steel=50, ends=2, ground="ledge")
    plain = factored([work])
    rows = factored([work], wire__=2.0, steel_line_posts__=1.5)
    assert rows["wire"].hours == 2.0 * plain["wire"].hours
    assert rows["steel line posts, ledge rock"].factor == pytest.approx(3.0 * 1.5)
    assert rows["tying off posts"] == plain["tying off posts"]


def test_rows_name_their_component_whatever_the_ground():
    work = work_of("A1", 250.0, fence_of(BARB), steel=50, ends=2, ground="ledge")
    assert {row.work for row in labour([work], catalogue=CATALOGUE, rolls={})} == {
        "set-out and guide wire", "end assemblies", "steel line posts", "wire", "tying off posts", "tie-offs"}
