"""Areas of ground in the plan: only the posts inside are drilled and take longer, and plans are taken over."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from planner.alignment.line import GroundStretch
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.sections.posts import is_end_post
from planner.survey.features import Feature
from tests.plain_jobs import EAST, NORTH, straight_job


def rock(west: float, east: float, ground: str = "ledge") -> Feature:
    return Feature("Tor", "ground", shapely.box(EAST + west, NORTH - 5, EAST + east, NORTH + 5).wkt,
                   (("class", ground),))


def job(*features: Feature, typed: tuple[GroundStretch, ...] = ()) -> Job:
    plain = straight_job()
    return replace(plain, lines=(replace(plain.lines[0], stretches=typed),), features=features)


def grid_m(plan: JobPlan, chainage_m: float) -> float:
    """Grid distance east of the start."""
    return float(plan.lines[0].ground.place_at(chainage_m)[0]) - EAST


def hours(plan: JobPlan, words: str) -> tuple[float, float]:
    """Quantity and hours of the labour rows that speak of something."""
    rows = [row for row in plan.labour if words in row.component]
    return sum(row.quantity for row in rows), sum(row.hours for row in rows)


def test_only_the_posts_inside_are_of_the_class():
    plan = plan_job(job(rock(100.0, 200.0)))
    for post in plan.lines[0].posts:
        inside = 100.0 - 1e-6 <= grid_m(plan, post.chainage_m) <= 200.0 + 1e-6
        assert post.ground == ("ledge" if inside else "soil")
    assert {post.ground for post in plan.lines[0].posts} == {"ledge", "soil"}


def test_only_the_posts_inside_take_longer_and_by_the_factor_of_their_class():
    bare, rocky = plan_job(job()), plan_job(job(rock(100.0, 200.0)))
    inside = sum(post.ground == "ledge" and not is_end_post(post) for post in rocky.lines[0].posts)
    count, all_hours = hours(bare, "line posts")
    drilled, drilled_hours = hours(rocky, "line posts, Ledge rock")
    driven, driven_hours = hours(rocky, "line posts, Soil")
    assert (drilled, driven) == (inside, count - inside)
    assert drilled_hours / drilled == pytest.approx(3.0 * all_hours / count)
    assert driven_hours / driven == pytest.approx(all_hours / count)


def test_an_end_assembly_in_rock_takes_longer_too():
    bare, rocky = plan_job(job()), plan_job(job(rock(-10.0, 10.0)))
    ends, all_hours = hours(bare, "end assemblies")
    assert hours(rocky, "end assemblies, Ledge rock") == (1, pytest.approx(2.5 * all_hours / ends))


@pytest.mark.parametrize(("short_of_m", "ground"), [(0.0, "ledge"), (0.001, "soil")])
def test_a_post_on_the_very_edge_stands_in_the_rock(short_of_m: float, ground: str):
    bare = plan_job(job())
    post = next(post for post in bare.lines[0].posts if post.chainage_m > 150)
    edge = grid_m(bare, post.chainage_m)
    plan = plan_job(job(rock(edge + short_of_m, 300.0)))
    assert next(p.ground for p in plan.lines[0].posts if abs(p.chainage_m - post.chainage_m) < 1e-9) == ground


def test_what_was_typed_holds_and_the_line_stays_the_record_of_the_job():
    wanted = job(rock(0.0, 400.0), typed=(GroundStretch(100.0, 200.0, "dug"),))
    plan = plan_job(wanted)
    assert plan.lines[0].line is wanted.lines[0]
    typed = [p.ground == "dug" for p in plan.lines[0].posts if 100 < p.chainage_m < 200]
    beyond = [p.ground == "ledge" for p in plan.lines[0].posts if p.chainage_m > 201]
    assert all(typed)
    assert all(beyond)
    assert len(typed) > 10 < len(beyond)


def test_a_line_is_planned_again_only_when_an_area_under_it_changed():
    first = plan_job(job(rock(100.0, 200.0)))
    trough = Feature("T", "trough", f"POINT ({EAST} {NORTH + 9})")
    beside = replace(first.job, features=(*first.job.features, trough))
    assert plan_job(beside, previous=first).lines[0] is first.lines[0]
    moved = replace(first.job, features=(rock(100.0, 150.0),))
    again = plan_job(moved, previous=first).lines[0]
    assert again is not first.lines[0]
    assert sum(p.ground == "ledge" for p in again.posts) < sum(p.ground == "ledge" for p in first.lines[0].posts)
