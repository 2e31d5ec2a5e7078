"""The gate in each opening."""

from __future__ import annotations

from dataclasses import replace

import pytest
from job_samples import EAST, NORTH, corners

from planner.alignment.line import FenceLine, Gate
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.plan import LinePlan

HOME = FenceLine("Home", "general-mesh", corners((0, 0), (400, 0)), accuracy="survey")


def planned(width: float, *, at: float = 200.0) -> LinePlan:
    line = replace(HOME, gates=(Gate("G", EAST + at, NORTH, width),))
    (plan,) = plan_job(Job("J", "EPSG:7855", lines=(line,))).lines
    return plan


def gate_of(plan: LinePlan) -> str:
    (work,) = [work for work in plan.works if work.section.is_gate]
    return work.gate_item


def rules(plan: LinePlan) -> list[str]:
    return [f.rule for f in plan.findings if f.rule in {"line-55", "line-56"}]


def test_a_gate_of_standard_width_fills_its_opening():
    plan = planned(4.2)
    assert gate_of(plan) == "gate-4200"
    assert rules(plan) == []


def test_an_opening_too_narrow_for_any_gate_is_an_error_and_the_line_is_planned():
    plan = planned(0.8)
    assert gate_of(plan) == ""
    (found,) = [f for f in plan.findings if f.rule == "line-55"]
    assert found.severity == "error"
    assert "'G', 0.80 m wide" in found.message


@pytest.mark.parametrize(("width", "told"), [(4.5, []), (4.51, ["line-56"]), (20.0, ["line-56"])])
def test_a_gap_beside_a_gate_is_told_above_its_limit(width: float, told: list[str]):
    assert rules(planned(width)) == told


def test_a_gate_cut_by_the_lines_end_is_chosen_for_what_is_left():
    """Half of 4.2 m stands on the line, and no gate of 4.2 m goes into that."""
    assert gate_of(planned(4.2, at=0.0)) != "gate-4200"
