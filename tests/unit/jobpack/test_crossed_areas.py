"""An area that crosses itself is drawn and measured like any other."""

from __future__ import annotations

from dataclasses import replace

from planner.job.derive import plan_job
from planner.jobpack.basis import basis_of
from planner.jobpack.plan_sheets import plan_pages
from planner.jobpack.stretches import stretches_beside
from planner.survey.features import Feature
from tests.plain_jobs import EAST, NORTH, straight_job


def crossed(meaning: str) -> Feature:
    corners = [(100, -5), (200, 60), (200, -5), (100, 60), (100, -5)]
    ring = ", ".join(f"{EAST + x} {NORTH + y}" for x, y in corners)
    return Feature("Scrub", meaning, f"POLYGON (({ring}))")


def test_crossed_areas_are_drawn_and_measured():
    plan = plan_job(replace(straight_job(), features=(crossed("vegetation"), crossed("water"))))
    assert plan_pages(basis_of(plan))
    assert stretches_beside(plan, ("vegetation",), within_m=10.0)
