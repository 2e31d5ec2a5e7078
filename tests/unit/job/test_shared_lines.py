"""Outlines of neighbouring paddocks become single lines, with their gates and levels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.alignment.line import GroundStretch
from planner.errors import JobTrouble
from planner.job.derive import plan_job
from planner.job.edits import ShareEdges
from planner.job.job import Job
from planner.job.stages import Stage
from planner.survey.ground import RecordedLevels
from tests.paddock_jobs import fence, job_of, ring
from tests.waiving import of_rule

WEST = fence("West", (0, 0), (200, 0), (200, 100), (0, 100), (0, 0), gates=[("GW", 50, 0)])
EAST = fence("East", (200, 0), (350, 0), (350, 100), (200, 100), (200, 0), gates=[("GE", 200, 50)])


def test_the_shared_edge_is_built_once():
    before = job_of(WEST, EAST)
    assert len(of_rule(before, "line-11")) == 1
    after = ShareEdges(("West", "East")).apply(before)
    assert of_rule(after, "line-11") == []
    lengths = [float(np.hypot(*np.diff(line.xy, axis=0).T).sum()) for line in after.lines]
    assert sum(lengths) == pytest.approx(1000.0)  # 600 + 500 - 100
    assert {line.name: [g.name for g in line.gates] for line in after.lines} == {
        "West": ["GW"], "East": [], "East | West": ["GE"]}
    assert [round(p.area_m2) for p in plan_job(after).paddocks] == [round(20000 / 0.9996**2), round(15000 / 0.9996**2)]


def test_levels_go_along():
    def levelled(line):
        at = np.arange(0.0, float(np.hypot(*np.diff(line.xy, axis=0).T).sum()) + 0.1, 10.0)
        x = np.interp(at, np.concatenate(([0], np.cumsum(np.hypot(*np.diff(line.xy, axis=0).T)))), line.xy[:, 0])
        return RecordedLevels(line.xy, at, 100.0 + (x - 500_000.0) / 10.0, np.full(len(at), 0.05),
                              np.full(len(at), 3, dtype=np.int64), 0.05, ("survey",))

    job = replace(job_of(WEST, EAST), levels={"West": levelled(WEST), "East": levelled(EAST)})
    after = ShareEdges(("West", "East")).apply(job)
    for plan in plan_job(after).lines:
        assert plan.inputs.levels is not None
        assert plan.ground.level_m == pytest.approx(100.0 + (plan.ground.x - 500_000.0) / 10.0, abs=1e-3)


def test_outlines_without_a_shared_edge_stay_as_they_are():
    job = job_of(WEST, fence("Far", (500, 0), (600, 0), (600, 100), (500, 0)))
    assert ShareEdges(("West", "Far")).apply(job) is job


@pytest.mark.parametrize(("job", "names", "why"), [
    (job_of(WEST, EAST), ("West", "None"), "no line 'None'"), (job_of(WEST, EAST), ("West",), "two outlines at least"),
    (job_of(WEST, fence("Open", (200, 0), (200, 100))), ("West", "Open"), "no outline"),
    (job_of(WEST, replace(EAST, fence="sheep-mesh")), ("West", "East"), "differ in fence type"),
    (job_of(WEST, replace(EAST, stretches=(GroundStretch(0, 50, "ledge"),))), ("West", "East"), "were typed along"),
    (replace(job_of(WEST, EAST), stages=(Stage("First", ("East",)),)), ("West", "East"), "an option or a stage")])
def test_what_cannot_be_shared_is_said(job: Job, names: tuple[str, ...], why: str):
    with pytest.raises(JobTrouble, match=why):
        ShareEdges(names).apply(job)


def test_other_lines_stay():
    other = ring("Other", size=50.0)
    moved = replace(other, xy=other.xy + np.array([1000.0, 0.0]), gates=())
    after = ShareEdges(("West", "East")).apply(job_of(moved, WEST, EAST))
    assert after.lines[0] is moved
