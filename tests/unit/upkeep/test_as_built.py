"""What was built against the plan: closed forms on a straight line, and on a slope."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
import shapely

from planner.alignment.line import FenceLine
from planner.job.derive import plan_job, waiver_place
from planner.job.edits import Waive
from planner.job.job import Job, Waiver
from planner.job.plan import JobPlan
from planner.upkeep.as_built import BuiltStretch, built_against_plan
from planner.upkeep.records import AsBuilt, Records
from tests.plain_jobs import EAST, NORTH, straight_job

DAY = date(2026, 11, 2)
GRID = 0.9996


def course(*corners: tuple[float, float]) -> str:
    return str(shapely.LineString(np.add(corners, [EAST, NORTH])).wkt)


def job_with(*records: AsBuilt, accuracy: str = "survey") -> Job:
    job = straight_job()
    return replace(job, lines=(replace(job.lines[0], accuracy=accuracy),), records=Records(as_built=records))


def one(*records: AsBuilt) -> BuiltStretch:
    plan = plan_job(job_with(*records), today=DAY)
    (stretch,) = built_against_plan(plan.lines, records, plan.job.settings).stretches
    return stretch


def rules(plan: JobPlan) -> list[str]:
    return [f.rule for f in plan.findings if f.rule.startswith("built-")]


def test_a_parallel_walk_is_off_by_its_distance():
    found = one(AsBuilt("walk", "", course((100, 3), (300, 3)), "rtk"))
    assert (found.mean_off_m, found.greatest_off_m) == pytest.approx((3.0, 3.0))
    assert (found.from_m, found.to_m) == pytest.approx((100 / GRID, 300 / GRID), rel=1e-6)
    assert found.share == pytest.approx(0.5)
    assert found.measured_slope_m == pytest.approx(found.planned_slope_m) == pytest.approx(200 / GRID, rel=1e-6)


def test_the_greatest_distance_has_its_place():
    found = one(AsBuilt("walk", "Home", course((0, 0), (200, 8), (400, 0)), "rtk"))
    assert found.greatest_off_m == pytest.approx(8.0)
    assert found.greatest_at_m == pytest.approx(200 / GRID, rel=1e-6)
    assert (found.x, found.y) == pytest.approx((EAST + 200, NORTH + 8))


def test_a_zigzag_measures_longer_by_its_own_length():
    points = [(float(x), 2.0 * (-1) ** (x // 4)) for x in range(0, 401, 4)]
    found = one(AsBuilt("walk", "Home", course(*points), "handheld"))
    assert found.measured_slope_m / found.planned_slope_m == pytest.approx(np.sqrt(2.0), rel=1e-6)


def test_points_of_posts_give_where_they_lie_but_no_length():
    wkt = shapely.MultiPoint([(EAST + 10, NORTH + 0.5), (EAST + 390, NORTH)]).wkt
    found = one(AsBuilt("posts", "Home", wkt, "rtk"))
    assert found.greatest_off_m == pytest.approx(0.5)


@pytest.mark.parametrize(("walk", "metres", "start", "stop"), [
    (((50, 0), (100, 0), (100, 50)), 100.0, 50.0, 150.0), (((0, 30), (0, 0), (40, 0)), 70.0, 370.0, 40.0),
    (((40, 0), (0, 0), (0, 30)), 70.0, 370.0, 40.0),
    (((0, 0), (100, 0), (100, 100), (0, 100), (0, 0)), 400.0, 0.0, 400.0),
    (((50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)), 400.0, 50.0, 50.0)])
def test_round_a_ring_a_walk_may_pass_its_start(walk: tuple[tuple[float, float], ...], metres: float, start: float,
                                                stop: float):
    ring = FenceLine("Ring", "general-mesh", np.add([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], [EAST, NORTH]),
                     closed=True, accuracy="survey")
    record = AsBuilt("walk", "Ring", course(*walk), "survey")
    plan = plan_job(Job("J", "EPSG:7855", (ring,)), today=DAY)
    (found,) = built_against_plan(plan.lines, (record,), plan.job.settings).stretches
    assert found.planned_slope_m == pytest.approx(metres / GRID, rel=1e-5)
    assert found.measured_slope_m == pytest.approx(metres / GRID, rel=1e-5)
    assert (found.from_m, found.to_m) == pytest.approx((start / GRID, stop / GRID), abs=0.01)


def told(*corners: tuple[float, float], accuracy: str = "survey") -> list[str]:
    """What a record of the line through some corners is told of."""
    return rules(plan_job(job_with(AsBuilt("s", "Home", course(*corners), accuracy)), today=DAY))


@pytest.mark.rules(fires="built-01", silent="built-02 built-03", limit="built-01")
def test_a_survey_a_metre_off_is_on_the_line():
    """Survey against survey explains 2.45 x 0.028 m, so the metre decides."""
    assert [told((0, off), (400, off)) for off in (1.0, 1.01)] == [[], ["built-01"]]


@pytest.mark.rules(fires="built-01", limit="built-01")
def test_a_handheld_explains_as_much_as_it_is_good_for():
    """2.45 x hypot(4.0, 0.02) m is 9.80 m."""
    assert [told((0, off), (400, off), accuracy="handheld") for off in (9.7, 9.9)] == [[], ["built-01"]]


@pytest.mark.rules(fires="built-02", silent="built-01", limit="built-02")
def test_a_walk_that_reads_long_is_told():
    """Of every 200 m three detours of 5 m to the side, each 26 m instead of 24 m, make 3 %; a little one makes more."""
    for length in (200.0, 400.0, 800.0):
        walk = [(12.0 * k, 5.0 * (k % 2)) for k in range(int(length / 100.0) * 3 + 1)]
        longer = [*walk, (walk[-1][0] + 12.0, 0.5), (walk[-1][0] + 24.0, 0.0)]
        found = []
        for corners in (walk, longer):
            record = AsBuilt("w", "Home", course(*corners, (length, 0.0)), "handheld")
            found.append(rules(plan_job(replace(straight_job(length), records=Records(as_built=(record,))), today=DAY)))
        assert found == [[], ["built-02"]]


@pytest.mark.rules(silent="built-01 built-02 built-03")
def test_a_survey_on_the_line_itself_is_told_of_nothing():
    assert told((0, 0), (200, 0.5), (400, 0)) == []


@pytest.mark.rules(fires="built-03")
@pytest.mark.parametrize("record", [
    AsBuilt("far", "", course((0, 31), (400, 31))), AsBuilt("nameless", "Nowhere", course((0, 0), (400, 0))),
    AsBuilt("torn", "Home", "LINESTRING (0 0")])
def test_what_runs_along_no_line_is_told_and_left_out(record: AsBuilt):
    plan = plan_job(job_with(record), today=DAY)
    assert rules(plan) == ["built-03"]
    assert built_against_plan(plan.lines, (record,), plan.job.settings).unmatched == (record,)


@pytest.mark.rules(fires="built-03", limit="built-03")
def test_thirty_metres_off_is_still_along_the_line():
    assert ["built-03" in told((0, off), (400, off)) for off in (30, 30.01)] == [False, True]


@pytest.mark.rules(aside="built-01 built-02 built-03")
@pytest.mark.parametrize(("rule", "record"), [
    ("built-01", AsBuilt("s", "Home", course((0, 9), (400, 9)), "survey")),
    ("built-02", AsBuilt("w", "Home", course(*[(float(x), 2.0 * (-1) ** (x // 4)) for x in range(0, 401, 4)]))),
    ("built-03", AsBuilt("far", "", course((0, 99), (400, 99)), origin="a.gpx"))])
def test_each_can_be_set_aside_with_a_reason(rule: str, record: AsBuilt):
    job = job_with(record)
    finding = next(f for f in plan_job(job, today=DAY).findings if f.rule == rule)
    after = plan_job(Waive(Waiver(rule, finding.place.line, waiver_place(finding), "known")).apply(job), today=DAY)
    assert [f.waived for f in after.findings if f.rule == rule] == ["known"]
