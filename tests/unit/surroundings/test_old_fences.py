"""Old fences along new lines: posts that stay, metres that go, nothing counted twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from planner.alignment.line import FenceLine
from planner.job.derive import plan_job, waiver_place
from planner.job.edits import Waive
from planner.job.job import Job, Waiver
from planner.job.plan import JobPlan
from planner.survey.features import Feature
from tests.plain_jobs import EAST, NORTH, straight_job

DAY = date(2026, 11, 2)
GRID = 0.9996


def old(off: float = 0.0, start: float = 0.0, end: float = 400.0, **facts: str) -> Feature:
    known = {"posts": "80", "posts sound": "62", "seen": "2026-05-01", "fate": "is reused"}
    known.update({key.replace("_", " "): value for key, value in facts.items()})
    return Feature("Back fence", "existing fence",
                   f"LINESTRING ({EAST + start} {NORTH + off}, {EAST + end} {NORTH + off})", tuple(known.items()))


def planned(*features: Feature, lines: tuple[FenceLine, ...] = ()) -> JobPlan:
    job = straight_job()
    return plan_job(replace(job, features=features, lines=(*job.lines, *lines)), today=DAY)


def posts(plan: JobPlan) -> float:
    return sum(row.net for row in plan.materials if any(rule.startswith("Posts between ends") for rule in row.rule))


def hours(plan: JobPlan, component: str) -> float:
    return sum(row.hours for row in plan.labour if row.work == component)


def rules(plan: JobPlan) -> list[str]:
    return [f.rule for f in plan.findings if f.rule.startswith("oldfence-")]


def test_sound_posts_stay_and_are_neither_bought_nor_driven_but_tied():
    """80 posts of which 62 % are sound: 49 stay."""
    new, reused = planned(), planned(old())
    assert posts(new) - posts(reused) == 49
    kept = [len(work.kept) for line in reused.lines for work in line.works]
    assert sum(kept) == 49
    driven = [sum(row.quantity for row in plan.labour if row.work in ("steel line posts", "timber line posts"))
              for plan in (new, reused)]
    assert driven[0] - driven[1] == 49
    assert hours(new, "tying off posts") == hours(reused, "tying off posts")


def test_no_more_stay_than_there_are_to_stand():
    plan = planned(old(posts="8000", posts_sound="100"))
    assert all(len(work.kept) == sum(post.kind == "line" for post in work.posts)
               for line in plan.lines for work in line.works)


def test_half_of_an_old_fence_gives_half_of_its_posts_and_only_there():
    plan = planned(old(start=-400.0, end=200.0, posts="120", posts_sound="50"))
    stay = [work.posts[k].chainage_m for line in plan.lines for work in line.works for k in work.kept]
    assert len(stay) == 20, "a third of 60"
    assert max(stay) <= 200.0 / GRID + 2.0


@pytest.mark.parametrize(("off", "stay"), [(2.0, 49), (2.1, 0)])
def test_a_new_line_stands_on_an_old_one_up_to_two_metres_off(off: float, stay: int):
    assert sum(len(work.kept) for line in planned(old(off)).lines for work in line.works) == stay


def test_two_lines_along_one_old_fence_share_its_posts_once():
    beside = FenceLine("Twin", "general-mesh", np.array([(EAST, NORTH + 1.0), (EAST + 400.0, NORTH + 1.0)]))
    plan = planned(old(0.5), lines=(beside,))
    assert [sum(len(work.kept) for work in line.works) for line in plan.lines] == [49, 0]


@pytest.mark.parametrize(("off", "taken_out"), [(5.0, 400.0), (5.1, 0.0)])
def test_what_is_in_the_way_is_taken_out_by_the_metre(off: float, taken_out: float):
    plan = planned(old(off, fate="is pulled out"))
    assert sum(work.removed_m for line in plan.lines for work in line.works) == pytest.approx(taken_out, abs=0.5)
    assert hours(plan, "taking out old fence") == pytest.approx(
        taken_out * plan.job.settings.removal_h_per_m, abs=0.05)


def test_what_stays_changes_nothing():
    assert planned(old(fate="stays")).materials == planned().materials
    assert rules(planned(old(fate="stays", posts_sound="10"))) == []


def test_new_wires_and_ends_answer_for_those_that_failed():
    assert rules(planned(old(wires="failed", ends_failed="1"))) == []
    assert "oldfence-03" in rules(planned(old(50.0, wires="failed")))


@pytest.mark.rules(fires="oldfence-05")
@pytest.mark.parametrize("fate", ["is reused", "is pulled out"])
def test_an_old_fence_that_no_line_runs_along_is_told(fate: str):
    assert "oldfence-05" in rules(planned(old(50.0, fate=fate)))
    assert "oldfence-05" not in rules(planned(old(0.0, fate=fate)))


@pytest.mark.rules(fires="oldfence-05", limit="oldfence-05")
@pytest.mark.parametrize(("fate", "limit"), [("is reused", 2.0), ("is pulled out", 5.0)])
def test_an_old_fence_is_along_a_line_as_far_as_it_is_used_or_in_the_way(fate: str, limit: float):
    told = ["oldfence-05" in rules(planned(old(off, fate=fate))) for off in (limit, limit + 0.01)]
    assert told == [False, True]


@pytest.mark.rules(silent="oldfence-05 oldfence-06")
def test_a_fence_reused_where_the_new_line_stands_on_it_is_counted_in_full():
    assert rules(planned(old())) == []


@pytest.mark.rules(fires="oldfence-06", limit="oldfence-06")
def test_sound_posts_of_what_is_taken_out_are_worth_a_word_from_ten():
    told = [rules(planned(old(fate="is pulled out", posts_sound=sound))) for sound in ("12.4", "12.5")]
    assert told == [[], ["oldfence-06"]]


@pytest.mark.rules(aside="oldfence-05 oldfence-06")
@pytest.mark.parametrize(("rule", "feature"), [
    ("oldfence-05", old(50.0)), ("oldfence-06", old(fate="is pulled out"))])
def test_each_can_be_set_aside_with_a_reason(rule: str, feature: Feature):
    job: Job = replace(straight_job(), features=(feature,))
    finding = next(f for f in plan_job(job, today=DAY).findings if f.rule == rule)
    after = plan_job(Waive(Waiver(rule, finding.place.line, waiver_place(finding), "known")).apply(job), today=DAY)
    assert [f.waived for f in after.findings if f.rule == rule] == ["known"]
