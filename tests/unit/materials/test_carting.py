"""Carting: masses, drop points, trailer loads."""

from __future__ import annotations

import pytest
from unit.materials.works_of import APRON, BARB, CATALOGUE, MESH, fence_of, work_of

from planner.materials.carting import carting, loads_by_mass
from planner.materials.section_work import SectionWork
from planner.materials.takeoff import take_off
from planner.settings import Settings


def cart(*works: SectionWork, **changes: float):
    settings = Settings().changed(
        {"waste_posts": 0.0, "waste_wire": 0.0, "waste_mesh": 0.0, "waste_fixings": 0.0, **changes})
    rows = take_off(works, catalogue=CATALOGUE, settings=settings, roll_plans={})
    return carting(works, rows, catalogue=CATALOGUE, settings=settings), rows


def test_each_section_is_left_at_the_drop_point_nearest_to_its_middle():
    fence = fence_of(BARB)
    carted, _ = cart(work_of("A1", 300.0, fence, steel=10), work_of("A2", 300.0, fence, from_m=300.0, steel=20),
                     work_of("A3", 300.0, fence, from_m=600.0, steel=30), drop_spacing_m=400.0)
    assert [(d.chainage_m, dict(d.items)["steel"]) for d in carted.drops] == [(0.0, 10), (400.0, 20), (800.0, 30)]
    assert carted.drops[0].mass_kg == pytest.approx(10 * 3.4 + 303 * 0.09 + 10 * 0.012)


def test_no_drop_point_lies_beyond_the_end_of_the_line():
    carted, _ = cart(work_of("A1", 390.0, fence_of(BARB), steel=10), work_of("A2", 5.0, fence_of(BARB), from_m=390.0),
                     drop_spacing_m=400.0)
    assert {d.chainage_m for d in carted.drops} == {0.0}


def test_lines_have_their_own_drop_points():
    carted, _ = cart(work_of("A1", 100.0, fence_of(BARB)), work_of("B1", 100.0, fence_of(BARB), line="ridge"))
    assert [d.line for d in carted.drops] == ["creek", "ridge"]


def test_the_total_is_everything_ordered_and_unknown_masses_are_named():
    carted, rows = cart(work_of("A1", 190.0, fence_of(mesh=MESH, nettings=(APRON,)), steel=12))
    order = {r.item: r.order for r in rows}
    assert carted.unknown == ("netting",)
    assert carted.drops[0].unknown == ("netting",)
    assert carted.total_kg == pytest.approx(200 * 0.424 + 20 * 3.4 + order["tie"] * 0.012 + order["ring"] * 0.0015)
    assert carted.loads == 1


def test_pieces_are_not_divided_between_loads():
    assert loads_by_mass([(800.0, 3)], 1500.0) == 3
    assert loads_by_mass([(750.0, 3)], 1500.0) == 2
    assert loads_by_mass([(800.0, 2), (700.0, 2)], 1500.0) == 2
    assert loads_by_mass([], 1500.0) == 0


def test_a_piece_that_is_too_heavy_is_still_a_load():
    assert loads_by_mass([(1600.0, 2), (10.0, 1)], 1500.0) == 3


def test_many_small_pieces_fill_loads_up():
    assert loads_by_mass([(3.4, 1000)], 1500.0) == 3  # 441 posts a load
