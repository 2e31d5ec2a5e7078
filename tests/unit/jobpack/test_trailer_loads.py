"""Trailer loads: nothing lost, nothing over the payload."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from full_jobs import full_job
from sheet_jobs import many_corners_job, planned

from planner.job.plan import JobPlan
from planner.jobpack.trailer_loads import trailer_loads


@pytest.fixture(scope="module")
def plan() -> JobPlan:
    return planned(many_corners_job(30))


def test_everything_ordered_is_on_a_trailer(plan: JobPlan) -> None:
    sent: Counter[str] = Counter()
    for load in trailer_loads(plan):
        for goods in load.goods:
            sent[goods.item] += goods.count * (goods.size_m or 1.0)
    for row in plan.materials:
        assert sent[row.item] >= row.order - 1e-6 or row.order == 0


@pytest.mark.parametrize("payload", [300.0, 1500.0, 20_000.0])
def test_no_load_is_over_the_payload(plan: JobPlan, payload: float) -> None:
    settings = replace(plan.job.settings, trailer_payload_kg=payload)
    loads = trailer_loads(replace(plan, job=replace(plan.job, settings=settings)))
    for load in loads:
        assert load.mass_kg == pytest.approx(sum(g.mass_kg for g in load.goods))
        assert load.mass_kg <= payload + 1e-6
    assert [load.number for load in loads] == list(range(1, len(loads) + 1))
    total = sum(load.mass_kg for load in loads)
    assert len(loads) >= total / payload


def test_a_piece_heavier_than_the_trailer_goes_alone(plan: JobPlan) -> None:
    settings = replace(plan.job.settings, trailer_payload_kg=60.0)
    loads = trailer_loads(replace(plan, job=replace(plan.job, settings=settings)))
    over = [load for load in loads if load.mass_kg > 60.0 + 1e-6]
    assert over  # mesh rolls
    for load in over:
        assert sum(goods.count for goods in load.goods if goods.piece_kg) == 1


def test_drops_follow_the_line(plan: JobPlan) -> None:
    places = [goods.chainage_m for load in trailer_loads(plan) for goods in load.goods if goods.line]
    assert places == sorted(places)


def test_rails_go_on_by_the_piece_and_weigh_what_the_order_weighs() -> None:
    plan = planned(full_job())
    loads = trailer_loads(plan)
    rails = [goods for load in loads for goods in load.goods if goods.item == "yard-rail"]
    (row,) = (row for row in plan.materials if row.item == "yard-rail")
    assert {goods.size_m for goods in rails} == {4.8}
    assert all(goods.count == int(goods.count) for goods in rails)
    assert sum(goods.count for goods in rails) == row.packs == 96
    assert sum(load.mass_kg for load in loads) == pytest.approx(plan.carting.total_kg)


def test_only_what_cannot_be_rolled_has_a_piece() -> None:
    items = planned(full_job()).catalogue.items
    assert items["yard-rail"].piece_m == 4.8
    assert [items[key].piece_m for key in ("brace-wire", "mesh-8-90-30", "steel-post-1650")] == [None, None, None]
