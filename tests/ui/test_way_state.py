"""How the steps stand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.findings import Finding
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.ui.measures import Measures
from planner.ui.way_state import STEPS, findings_of, step_of, way_states


def states(job: Job, plan: JobPlan | None, **more: str) -> dict[str, str]:
    return {row.step.key: row.state for row in way_states(job, plan, Measures(), **more)}


def with_findings(plan: JobPlan, *findings: Finding) -> JobPlan:
    return replace(plan, findings=findings)


def test_an_empty_job_has_nothing_yet() -> None:
    assert set(states(Job("", ""), None).values()) == {"nothing"}


def test_a_plan_without_findings_is_fine(sample: Job, sample_plan: JobPlan) -> None:
    found = states(sample, with_findings(sample_plan))
    assert found.pop("jobpack") == "nothing"
    assert set(found.values()) == {"fine"}
    assert states(sample, sample_plan, pack_written="written 10:42")["jobpack"] == "fine"


@pytest.mark.parametrize(("severity", "state"), [("note", "fine"), ("warning", "look"), ("error", "wrong")])
def test_the_worst_open_finding_gives_the_state(sample: Job, sample_plan: JobPlan, severity, state: str) -> None:
    finding = Finding("setout-02", severity, "A peg cannot be seen.", "Add one.")
    assert states(sample, with_findings(sample_plan, finding))["setout"] == state
    assert states(sample, with_findings(sample_plan, finding.waive("seen from the hill")))["setout"] == "fine"


def test_figures_are_those_of_the_plan(sample: Job, sample_plan: JobPlan) -> None:
    figures = {row.step.key: row.figure for row in way_states(sample, sample_plan, Measures())}
    length = sum(line.ground.chainage_m[-1] for line in sample_plan.lines)
    assert figures["line"] == Measures().length(length, 0)
    assert figures["setout"] == f"{sum(len(line.pegs) for line in sample_plan.lines)} pegs"
    assert figures["sections"] == f"{sum(not s.is_gate for p in sample_plan.lines for s in p.sections)} strains"
    assert figures["loads"] == f"{Measures().force(max(p.fence.pull_n for p in sample_plan.lines), 1)} pull"
    assert figures["materials"].startswith("AUD")


def test_every_rule_goes_to_its_step(sample_plan: JobPlan) -> None:
    assert step_of("loads-03") == "loads"
    assert step_of("unheard-of") == "survey"
    assert sum(len(findings_of(step.key, sample_plan.findings)) for step in STEPS) == len(sample_plan.findings)


def test_words_tell_what_the_post_shows(sample: Job, sample_plan: JobPlan) -> None:
    finding = Finding("profile-01", "warning", "A pit.", "Look.")
    row = way_states(sample, with_findings(sample_plan, finding), Measures())[2]
    assert row.words == f"Profile: {row.figure}; something to look at; 1 finding to look at"
