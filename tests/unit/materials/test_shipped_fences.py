"""Every shipped fence type can be counted, covered from rolls, costed in hours and carted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from unit.materials.works_of import crossing_of, end_of, gate_of, work_of

from planner.materials.carting import carting
from planner.materials.labour import labour
from planner.materials.roll_plan import plan_rolls
from planner.materials.takeoff import roll_demands, take_off
from planner.settings import Settings
from planner.spec.catalogue import load_catalogue
from planner.spec.choose_post import choose_post

CATALOGUE = load_catalogue()


@pytest.mark.parametrize("key", sorted(CATALOGUE.fences))
def test_a_shipped_fence_goes_through_the_whole_room(key):
    fence = CATALOGUE.fences[key]
    rules = fence.posts
    work = work_of("A1", 180.0, fence, steel=20)
    length = fence.height_m + rules.head_m + rules.embedment_m
    families = [rules.pattern[k % len(rules.pattern)] for k in range(20)]
    posts = tuple(replace(p, item=choose_post(CATALOGUE.items, family=family, length_m=length))
                  for p, family in zip(work.posts, families, strict=True))
    end = replace(end_of(), assembly=fence.ends.single, directions=2)
    work = replace(work, posts=posts, assemblies=((end, "soil"), (end, "ledge")))
    crossing = crossing_of("A3", 30.0, fence, from_m=183.6)
    works = [work, gate_of("A2", fence, from_m=180.0), replace(crossing, assemblies=((end, "soil"),) * 2)]
    wanted = roll_demands(works, catalogue=CATALOGUE, settings=Settings(), allowed={})
    plans = {item: plan_rolls(demands, item=item, stock={a: a for a in CATALOGUE.items[item].stock_m}, join_cost=4.0,
                              min_useful_m=10.0, joins_allowed=True, seconds=0.2, offcut_cost_per_m=1.0)
             for item, demands in wanted.items()}
    rows = {r.item: r for r in take_off(works, catalogue=CATALOGUE, settings=Settings(), roll_plans=plans)}
    for item, demands in wanted.items():
        assert rows[item].net == pytest.approx(sum(d.length_m for d in demands), abs=1e-6)
    assert sum(rows[i].net for i in {p.item for p in posts}) >= 20
    strainer = CATALOGUE.assemblies[fence.ends.single].parts[0]
    assert rows[strainer[0]].net >= 4 * strainer[1]
    assert sum(r.hours for r in labour(works, catalogue=CATALOGUE, rolls=plans)) > 0
    assert carting(works, tuple(rows.values()), catalogue=CATALOGUE, settings=Settings()).total_kg > 0
