"""How far the work is, what fences are worth, what a loss comes to, and what the records leave to do."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from planner.job.after import after_plan
from planner.job.derive import plan_job, waiver_place
from planner.job.edits import Waive
from planner.job.job import Job, Waiver
from planner.survey.features import Feature
from planner.upkeep.assets import value_left
from planner.upkeep.checks import OVERDUE_DAYS, RESTRAIN_DAYS
from planner.upkeep.records import Built, Inspection, Loss, Progress, Records
from tests.plain_jobs import EAST, NORTH, straight_job

DAY = date(2026, 11, 2)
GRID = 0.9996


def job_with(records: Records, *features: Feature, length_m: float = 400.0) -> Job:
    return replace(straight_job(length_m), records=records, features=features)


def rules(job: Job, today: date = DAY) -> list[str]:
    return [f.rule for f in plan_job(job, today=today).findings if f.rule.startswith("built-")]


def test_nothing_written_down_is_nothing_done():
    work = after_plan(plan_job(straight_job(), today=DAY)).work
    assert work.shares == (0.0, 0.0, 0.0, 0.0)
    assert work.finished_m == 0.0


def test_the_latest_record_stands_and_a_sections_goes_before_its_lines():
    plan = plan_job(straight_job(900.0), today=DAY)
    ids = [section.id for section in plan.lines[0].sections]
    assert len(ids) > 1
    records = Records(progress=(
        Progress("Home", "", "posts", 0.2, DAY), Progress("Home", "", "posts", 0.5, DAY + timedelta(1)),
        Progress("Home", "", "posts", 0.1, DAY - timedelta(1)), Progress("Home", ids[0], "posts", 1.0, DAY)))
    work = after_plan(plan_job(job_with(records, length_m=900.0), today=DAY)).work
    assert [row.shares[1] for row in work.sections] == [1.0, *[0.5] * (len(ids) - 1)]


def test_shares_are_weighed_by_what_is_counted():
    plan = plan_job(straight_job(900.0), today=DAY)
    first, rest = plan.lines[0].sections[0], plan.lines[0].sections[1:]
    records = Records(progress=tuple(Progress("Home", first.id, part, 1.0, DAY) for part in ("posts", "wires")))
    work = after_plan(plan_job(job_with(records, length_m=900.0), today=DAY)).work
    posts = [sum(post.section == s.id for post in plan.lines[0].posts) for s in plan.lines[0].sections]
    assert work.shares[0] == work.shares[3] == 0.0
    assert work.shares[1] == pytest.approx(posts[0] / sum(posts))
    assert work.shares[2] == pytest.approx(first.slope_length_m / (first.slope_length_m
                                                                   + sum(s.slope_length_m for s in rest)))


def test_what_is_finished_has_its_ends_posts_and_wires():
    records = Records(progress=(Progress("Home", "", "finished", 0.25, DAY),))
    work = after_plan(plan_job(job_with(records), today=DAY)).work
    assert work.shares == pytest.approx((0.25, 0.25, 0.25, 0.25))
    assert work.finished_m == pytest.approx(100.0 / GRID, rel=1e-6)


@pytest.mark.parametrize(("age", "left"), [(0.0, "2000.00"), (5.0, "1500.00"), (20.0, "0.00"), (21.0, "0.00")])
def test_a_cost_goes_down_to_nothing_over_its_life(age: float, left: str):
    assert value_left(Decimal(2000), age_years=age, life_years=20.0) == Decimal(left)


def test_a_finished_line_is_an_asset():
    records = Records(built=(Built("Home", DAY - timedelta(days=1461), Decimal(6000)),))
    (asset,) = after_plan(plan_job(job_with(records), today=DAY)).assets
    assert asset.age_years == pytest.approx(4.0)
    assert asset.life_years == 20.0
    assert asset.value == Decimal("4800.00")
    assert asset.length_m == pytest.approx(400.0 / GRID, rel=1e-6)


OLD = Feature("Back fence", "existing fence", f"LINESTRING ({EAST} {NORTH}, {EAST + 900} {NORTH})",
              (("built", "2016"), ("value", "10"), ("posts sound", "62"), ("wires", "worn"), ("seen", "2026-05-01")))


def test_a_standing_fence_is_an_asset_until_it_is_pulled_out():
    (asset,) = after_plan(plan_job(job_with(Records(), OLD), today=DAY)).assets
    assert (asset.age_years, asset.cost, asset.value) == (10.0, Decimal("9000.00"), Decimal("4500.00"))
    assert asset.condition == "62 % of posts sound, wires worn, seen 2026-05-01"
    pulled = replace(OLD, attributes=(*OLD.attributes, ("fate", "is pulled out")))
    assert after_plan(plan_job(job_with(Records(), pulled), today=DAY)).assets == ()


def test_a_loss_is_worth_its_share_at_the_day_of_the_event():
    event = DAY - timedelta(days=365)
    records = Records(built=(Built("Home", event - timedelta(days=1461), Decimal(8000)),),
                      losses=(Loss("Home", 100.0 / GRID, 200.0 / GRID, event, "flood"),))
    (row,) = after_plan(plan_job(job_with(records), today=DAY)).losses
    assert row.length_m == pytest.approx(100.0 / GRID, rel=1e-6)
    assert row.age_years == pytest.approx(4.0)
    assert row.cost == Decimal("2000.00")
    assert row.value == Decimal("1600.00")


def test_a_loss_of_a_standing_fence_takes_its_age_back_to_the_event():
    event = date(2025, 11, 2)
    (row,) = after_plan(plan_job(job_with(Records(losses=(Loss("Back fence", 0.0, 90.0, event, "fire"),)), OLD),
                                 today=DAY)).losses
    assert row.age_years == pytest.approx(9.0, abs=0.01)
    assert row.cost == Decimal("900.00")


@pytest.mark.rules(fires="built-04", limit="built-04")
def test_a_new_fence_is_due_to_be_strained_again():
    jobs = [job_with(Records(built=(Built("Home", DAY - timedelta(days=days)),)))
            for days in (RESTRAIN_DAYS, RESTRAIN_DAYS + 1)]
    assert [rules(job) for job in jobs] == [[], ["built-04"]]


@pytest.mark.rules(silent="built-04 built-05 built-06")
def test_a_visit_since_and_what_was_put_right_leave_nothing_to_do():
    visit = Inspection("Home", "", DAY - timedelta(days=60), found="slack wire", action="strain", done=True)
    assert rules(job_with(Records(built=(Built("Home", DAY - timedelta(days=90)),), inspections=(visit,)))) == []


@pytest.mark.rules(fires="built-04", limit="built-04")
def test_a_visit_counts_from_the_day_after_the_fence_was_finished():
    on = DAY - timedelta(days=90)
    built = Records(built=(Built("Home", on),))
    told = [rules(job_with(replace(built, inspections=(Inspection("Home", "", on + timedelta(days), done=True),))))
            for days in (1, 0)]
    assert told == [[], ["built-04"]]


@pytest.mark.rules(silent="built-04")
def test_a_fence_without_wires_is_not_strained():
    rails = replace(straight_job(fence="post-and-rail"), records=Records(built=(Built("Home", DAY - timedelta(90)),)))
    assert rules(rails) == []


@pytest.mark.rules(fires="built-05", limit="built-05")
def test_what_an_inspection_found_does_not_lie_for_ever():
    told = []
    for days, done in ((OVERDUE_DAYS, False), (OVERDUE_DAYS + 1, False), (OVERDUE_DAYS + 1, True)):
        found = Inspection("Home", "", DAY - timedelta(days=days), found="slack wire", action="strain", done=done)
        told.append(rules(job_with(Records(inspections=(found,)))))
    assert told == [[], ["built-05"], []]


@pytest.mark.rules(fires="built-06")
def test_records_of_what_is_gone_are_told_once_and_kept():
    records = Records(progress=(Progress("Home", "Z9", "posts", 1.0, DAY), Progress("Home", "Z9", "ends", 1.0, DAY)),
                      built=(Built("Gone", DAY),))
    assert rules(job_with(records)) == ["built-06", "built-06"]
    assert rules(job_with(Records(progress=(Progress("Home", "A1", "posts", 1.0, DAY),)))) == []


@pytest.mark.rules(aside="built-04 built-05 built-06")
@pytest.mark.parametrize(("rule", "records"), [
    ("built-04", Records(built=(Built("Home", DAY - timedelta(days=90)),))),
    ("built-05", Records(inspections=(Inspection("Home", "", DAY - timedelta(days=90), found="slack"),))),
    ("built-06", Records(built=(Built("Gone", DAY),)))])
def test_each_can_be_set_aside_with_a_reason(rule: str, records: Records):
    job = job_with(records)
    finding = next(f for f in plan_job(job, today=DAY).findings if f.rule == rule)
    after = plan_job(Waive(Waiver(rule, finding.place.line, waiver_place(finding), "known")).apply(job), today=DAY)
    assert [f.waived for f in after.findings if f.rule == rule] == ["known"]
