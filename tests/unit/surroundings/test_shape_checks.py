"""Long thin paddocks, pockets between two fences, narrow lanes."""

from __future__ import annotations

import math

import pytest

from planner.alignment.line import FenceLine
from planner.job.job import Job
from tests.paddock_jobs import fence, job_of, mark
from tests.waiving import check_waiver, of_rule


def block(long_m: float, wide_m: float, *, use: str = "stock", stock: str = "not said") -> Job:
    line = fence("Block", (0, 0), (long_m, 0), (long_m, wide_m), (0, wide_m), (0, 0), gates=[("G", long_m / 2, 0)])
    return job_of(line, features=[mark("paddock", "It", (1, 1), use=use, stock=stock)])


@pytest.mark.rules(fires="paddock-10", silent="paddock-10", limit="paddock-10")
def test_a_paddock_over_four_times_as_long_as_wide():
    assert [len(of_rule(block(long, 100.0), "paddock-10")) for long in (399.0, 400.0, 400.1)] == [0, 0, 1]


@pytest.mark.rules(fires="paddock-10")
def test_for_horses_it_is_a_warning():
    assert [f.severity for f in of_rule(block(500.0, 100.0, stock="horses"), "paddock-10")] == ["warning"]
    assert [f.severity for f in of_rule(block(500.0, 100.0, stock="sheep"), "paddock-10")] == ["note"]


@pytest.mark.rules(silent="paddock-10 paddock-12")
@pytest.mark.parametrize("use", ["lane", "shut off"])
def test_lanes_and_strips_may_be_long(use: str):
    assert of_rule(block(500.0, 20.0, use=use), "paddock-10") == []


@pytest.mark.rules(fires="paddock-12", silent="paddock-12", limit="paddock-12")
def test_a_lane_wide_enough_to_drove_in():
    told = []
    for wide in (6.0, 5.0, 4.98, 3.0):
        found = of_rule(block(300.0, wide, use="lane"), "paddock-12")
        assert all(f"narrows to {wide:.1f} m" in f.message for f in found)
        told.append(len(found))
    assert told == [0, 0, 1, 1]


def test_a_lane_with_a_neck():
    line = fence("Lane", (0, 0), (100, 0), (100, 3), (110, 3), (110, 0), (200, 0), (200, 6), (0, 6), (0, 0),
                 gates=[("G", 50, 0)])
    (finding,) = of_rule(job_of(line, features=[mark("paddock", "It", (1, 1), use="lane")]), "paddock-12")
    assert "narrows to 3.0 m" in finding.message


@pytest.mark.rules(silent="paddock-12")
def test_a_narrow_paddock_is_no_lane():
    assert of_rule(block(30.0, 4.0), "paddock-12") == []


def slanting(degrees: float, *, stock: str = "not said", use: str = "stock") -> Job:
    """A block of 400 m by 200 m divided from its south side at an angle; the pocket is on the west, named."""
    across = 200.0 / math.tan(math.radians(degrees))
    ring = fence("Block", (0, 0), (400, 0), (400, 200), (0, 200), (0, 0), gates=[("G", 20, 0), ("H", 390, 0)])
    division = fence("Division", (300, 0), (300 - across, 200))
    return job_of(ring, division, features=[mark("paddock", "West", (1, 1), stock=stock, use=use)])


@pytest.mark.rules(fires="paddock-11", limit="paddock-11")
def test_a_pocket_between_two_fences():
    told = []
    for degrees in (90.0, 60.1, 60.0, 59.9, 50.0):
        found = of_rule(slanting(degrees), "paddock-11")
        assert all(f"a corner of {degrees:.0f} deg where fences meet" in f.message for f in found)
        told.append(len([f for f in found if "'West'" in f.message]))
    assert told == [0, 0, 0, 1, 1]


@pytest.mark.rules(fires="paddock-11")
def test_each_side_of_a_slanting_fence_has_its_own_pocket():
    assert len(of_rule(slanting(50.0), "paddock-11")) == 2  # in the south for the west, in the north for the east


def test_for_horses_a_pocket_is_a_warning_and_shut_off_land_has_none():
    assert {f.severity for f in of_rule(slanting(50.0, stock="horses"), "paddock-11")} == {"note", "warning"}
    assert len(of_rule(slanting(50.0, use="shut off"), "paddock-11")) == 1


def triangle(*corners: tuple[float, float]) -> FenceLine:
    return fence("Triangle", *corners, corners[0], gates=[("G", 50, 0)])


@pytest.mark.rules(silent="paddock-11")
def test_a_corner_of_one_line_is_told_by_that_line_alone():
    job = job_of(triangle((0, 0), (100, 0), (0, 50)))
    assert len(of_rule(job, "line-08")) == 1
    assert of_rule(job, "paddock-11") == []


def test_a_reflex_corner_is_no_pocket():
    inner = fence("Notch", (100, 0), (150, 100), (200, 0))
    ring = fence("Block", (0, 0), (400, 0), (400, 200), (0, 200), (0, 0), gates=[("G", 20, 0), ("I", 150, 0)])
    found = of_rule(job_of(ring, inner), "paddock-11")
    assert not any("'Paddock A'" in f.message for f in found)


def test_corners_between_fences_that_stand_are_not_to_be_built():
    stands = mark("existing fence", "Old", (0, 0), (50, 0), (0, 40))
    assert of_rule(job_of(fence("New", (0, 0), (0, 40)), features=[stands]), "paddock-11") != []
    wedge = mark("existing fence", "Old", (-400, 100), (0, 0), (-400, 0))
    job = job_of(fence("New", (-400, 0), (-400, 100)), features=[wedge])
    assert of_rule(job, "paddock-11") == []


@pytest.mark.rules(aside="paddock-10 paddock-11 paddock-12")
@pytest.mark.parametrize(("job", "rule"), [
    (block(500.0, 100.0), "paddock-10"), (slanting(50.0), "paddock-11"), (block(300.0, 4.0, use="lane"), "paddock-12")])
def test_it_can_be_waived(job: Job, rule: str):
    check_waiver(job, rule)
