"""Whatever the sections: net is the sum of its sections, and enough is ordered in whole packs."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st
from unit.materials.works_of import APRON, BARB, CATALOGUE, ITEMS, MESH, PLAIN, fence_of, work_of

from planner.materials.roll_plan import plan_rolls
from planner.materials.takeoff import roll_demands, sums_by, take_off
from planner.settings import Settings

FENCES = (fence_of(BARB), fence_of(PLAIN, BARB, mesh=MESH), fence_of(PLAIN, nettings=(APRON,)))
SECTIONS = st.lists(st.tuples(st.floats(1.0, 700.0), st.integers(0, 60), st.integers(0, 10), st.integers(0, 2),
                              st.integers(0, 2), st.floats(0.0, 20.0)), min_size=1, max_size=8)


@settings(max_examples=40, deadline=None)
@given(SECTIONS)
def test_net_is_the_sum_of_sections_and_orders_are_whole_packs(sections):
    works, at = [], 0.0
    for k, (length, steel, timber, ends, fence, sd) in enumerate(sections):
        works.append(work_of(f"A{k}", length, FENCES[fence], from_m=at, steel=steel, timber=timber, ends=ends, sd_m=sd))
        at += length
    wanted = roll_demands(works, catalogue=CATALOGUE, settings=Settings(), allowed={})
    plans = {item: plan_rolls(demands, item=item, stock={a: a for a in ITEMS[item].stock_m}, join_cost=4.0,
                              min_useful_m=10.0, joins_allowed=True, seconds=0.1, offcut_cost_per_m=1.0)
             for item, demands in wanted.items()}
    rows = take_off(works, catalogue=CATALOGUE, settings=Settings(), roll_plans=plans)
    total = sums_by(rows, {w.section.id: "all" for w in works}).get("all", ())
    assert dict(total) == {row.item: row.net for row in rows}
    for row in rows:
        assert row.net == math.fsum(q for _, q in row.by_section)
        assert row.order + 1e-6 >= row.net + row.waste
        assert row.confidence >= row.order
        assert row.packs == sum(n for _, n in row.lots)
        assert math.isclose(sum(size * n for size, n in row.lots), row.order, abs_tol=1e-3)
        if row.item in plans:
            cut = math.fsum(c.length_m for r in plans[row.item].rolls for c in r.cuts)
            assert math.isclose(cut, row.net, abs_tol=1e-3)
