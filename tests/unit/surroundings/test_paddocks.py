"""Paddocks from lines: names, uses, sizes, gates, water and ways out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.alignment.line import FenceLine
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.surroundings.paddocks import Paddock
from planner.survey.features import Feature
from tests.paddock_jobs import fence, job_of, lane_job, mark, ring

ACROSS = fence("Across", (80, 0), (80, 200), gates=[("X", 80, 100)])


def paddocks(job: Job) -> tuple[Paddock, ...]:
    return plan_job(job).paddocks


def only(*features: Feature, line: FenceLine | None = None) -> Paddock:
    (paddock,) = paddocks(job_of(line or ring(), features=features))
    return paddock


def test_lines_that_enclose_nothing_make_no_paddock():
    assert paddocks(job_of(ACROSS)) == ()
    assert paddocks(job_of()) == ()


def test_names_are_letters_from_the_largest():
    assert [(p.name, round(p.area_m2)) for p in paddocks(job_of(ring(), ACROSS))] == [
        ("Paddock A", 24019), ("Paddock B", 16013)]  # grid areas over 0.9996 squared


def test_letters_leave_out_names_that_are_taken():
    taken = mark("paddock", "Paddock A", (10, 10))
    assert [p.name for p in paddocks(job_of(ring(), ACROSS, features=[taken]))] == ["Paddock B", "Paddock A"]


def test_sizes_by_hand():
    paddock = only()
    assert paddock.perimeter_m == pytest.approx(800.0 / 0.9996, rel=1e-6)
    assert paddock.long_over_wide == pytest.approx(1.0)
    assert (paddock.lines, paddock.gates, paddock.way) == (("Ring",), ("G",), ("G",))


@pytest.mark.parametrize(("feature", "name"), [
    (mark("paddock", "House", (10, 10)), "House"), (mark("paddock", "Next door", (300, 10)), "Paddock A"),
    (mark("paddock", "Old", (-500, -500), (200, -500), (200, 200), (-500, 200), area=True), "Old"),
    (mark("paddock", "Strip", (0, 0), (90, 0), (90, 200), (0, 200), (0, 0), area=True), "Strip"),
    (mark("paddock", "Beside", (-200, 0), (90, 0), (90, 200), (-200, 200), area=True), "Paddock A")])
def test_a_paddock_is_named_by_what_is_marked_in_it(feature: Feature, name: str):
    assert only(feature).name == name


def test_halves_of_a_marked_area_are_counted():
    area = mark("paddock", "Home", (0, 0), (200, 0), (200, 200), (0, 200), area=True, use="lane", stock="sheep")
    assert [(p.name, p.use, p.stock) for p in paddocks(job_of(ring(), ACROSS, features=[area]))] == [
        ("Home 1", "lane", "sheep"), ("Home 2", "lane", "sheep")]


@pytest.mark.parametrize(("feature", "use"), [
    (mark("water", "Dam", (20, 20), (130, 20), (130, 120), (20, 120), area=True), "shut off"),
    (mark("water", "Dam", (20, 20), (110, 20), (110, 120), (20, 120), area=True), "stock"),
    (mark("vegetation", "Bush", (0, 0), (110, 0), (110, 200), (0, 200), area=True), "shut off"),
    (mark("vegetation", "Bush", (0, 0), (100, 0), (100, 200), (0, 200), area=True), "stock"),
    (mark("paddock", "It", (10, 10)), "stock"), (mark("paddock", "It", (10, 10), use="shut off"), "shut off")])
def test_what_land_is_for_where_nobody_says(feature: Feature, use: str):
    assert only(feature).use == use


@pytest.mark.parametrize(("wide", "use"), [(29.0, "shut off"), (40.0, "stock")])
def test_a_long_strip_is_no_paddock_for_stock(wide: float, use: str):
    strip = fence("Strip", (0, 0), (300, 0), (300, wide), (0, wide), (0, 0))
    assert only(line=strip).use == use


@pytest.mark.parametrize(("feature", "water"), [
    (mark("trough", "T", (100, 100)), ("T",)), (mark("trough", "T", (201, 100)), ("T",)),
    (mark("trough", "T", (201.1, 100)), ()), (mark("trough", "", (5, 5)), ("trough",)),
    (mark("water", "Creek", (-50, 10), (10, 10)), ("Creek",)), (mark("water", "Creek", (-50, 10), (0.9, 10)), ()),
    (mark("water", "Edge", (0, 0), (200, 0)), ()),
    (mark("water", "Dam", (-50, 0), (1, 0), (1, 50), (-50, 50), area=True), ("Dam",)),
    (mark("water", "Dam", (-50, 0), (0, 0), (0, 50), (-50, 50), area=True), ())])
def test_water_in_it_or_a_trough_on_its_edge(feature: Feature, water: tuple[str, ...]):
    assert only(feature).water == water


def test_water_is_reached_through_lanes_only():
    job = lane_job()
    dry = tuple(f for f in job.features if f.meaning != "trough")
    in_lane = replace(job, features=(*dry, mark("trough", "T", (400, 250))))
    found = {p.name: p for p in paddocks(in_lane)}
    assert (found["North 1"].water, found["North 1"].water_through) == ((), ("N1",))
    assert found["Lane"].water == ("T",)
    in_paddock = replace(job, features=(*dry, mark("trough", "T", (100, 400))))
    found = {p.name: p for p in paddocks(in_paddock)}
    assert (found["North 1"].water, found["North 2"].water_through) == (("T",), ())


def test_land_that_only_fences_that_stand_bound_is_no_paddock_of_the_job():
    stands = mark("existing fence", "Old", (-5, 0), (-5, 200), (-200, 200), (-200, 0), (-5, 0))
    assert [p.name for p in paddocks(job_of(ring(), features=[stands]))] == ["Paddock A"]


@pytest.mark.parametrize(("fate", "count"), [("stays", 1), ("is reused", 1), ("is pulled out", 0)])
def test_fences_that_stand_and_stay_enclose_land(fate: str, count: int):
    stands = mark("existing fence", "Old", (0, 0), (200, 0), (200, 200), (0, 200), fate=fate)
    found = paddocks(job_of(fence("New", (0, 200), (0, 0)), features=[stands]))
    assert [p.edge_known for p in found] == [False] * count


@pytest.mark.parametrize(("off", "gates"), [(0.0, ("Old gate",)), (5.0, ("Old gate",)), (5.1, ())])
def test_a_gate_that_hangs_already_leads_in(off: float, gates: tuple[str, ...]):
    stands = mark("existing fence", "Old", (0, 0), (200, 0), (200, 200), (0, 200))
    hangs = mark("gate", "Old gate", (100, -off))
    (paddock,) = paddocks(job_of(fence("New", (0, 200), (0, 0)), features=[stands, hangs]))
    assert paddock.gates == gates


def test_yards_inside_are_the_goal():
    found = paddocks(job_of(ring(), ACROSS, features=[mark("yard", "Yards", (10, 10))]))
    assert {p.name: p.way for p in found} == {"Paddock A": ("X",), "Paddock B": ()}


def test_gates_are_as_many_as_in_the_materials():
    plan = plan_job(lane_job(stands=False))
    hung = sum(row.net for row in plan.materials if row.item.startswith("gate-"))
    assert hung == 9 == len({gate for paddock in plan.paddocks for gate in paddock.gates})
