"""The gate in each opening."""

from __future__ import annotations

from dataclasses import replace

import pytest
from job_samples import EAST, NORTH, corners
from plain_jobs import straight_job
from waiving import check_waiver

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


@pytest.mark.rules(silent="line-55 line-56")
def test_a_gate_of_standard_width_fills_its_opening():
    plan = planned(4.2)
    assert gate_of(plan) == "gate-4200"
    assert rules(plan) == []


@pytest.mark.rules(fires="line-55")
def test_an_opening_too_narrow_for_any_gate_is_an_error_and_the_line_is_planned():
    plan = planned(0.8)
    assert gate_of(plan) == ""
    (found,) = [f for f in plan.findings if f.rule == "line-55"]
    assert found.severity == "error"
    assert "'G', 0.80 m wide" in found.message


@pytest.mark.rules(limit="line-55 line-56", fires="line-56")
@pytest.mark.parametrize(("width", "rule"), [
    (1.195, ""), (1.19, "line-55"), (1.5, ""), (1.51, "line-56"), (4.5, ""), (4.51, "line-56"), (20.0, "line-56")])
def test_a_gate_goes_in_and_the_gap_beside_it_is_told_above_its_limit(width: float, rule: str):
    """A gate may be 5 mm wider than its opening, and 0.3 m narrower."""
    assert rules(planned(width)) == [rule] * bool(rule)


@pytest.mark.rules(aside="line-55 line-56")
@pytest.mark.parametrize(("width", "rule"), [(0.8, "line-55"), (20.0, "line-56")])
def test_an_opening_without_its_gate_is_set_aside(width: float, rule: str):
    check_waiver(replace(straight_job(), lines=(replace(HOME, gates=(Gate("G", EAST + 200.0, NORTH, width),)),)), rule)


def test_a_gate_cut_by_the_lines_end_is_chosen_for_what_is_left():
    """Half of 4.2 m stands on the line, and no gate of 4.2 m goes into that."""
    assert gate_of(planned(4.2, at=0.0)) != "gate-4200"
