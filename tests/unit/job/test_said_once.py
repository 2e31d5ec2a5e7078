"""What holds of several lines alike is said once."""

from __future__ import annotations

from planner.files.sample_farm import sample_job
from planner.job.derive import plan_job


def test_a_missing_breaking_load_is_said_once_for_the_job():
    plan = plan_job(sample_job())
    said = [f for f in plan.findings if f.rule == "loads-07"]
    of_lines = [f for line in plan.lines for f in line.findings if f.rule == "loads-07"]
    assert len({(f.message, f.remedy) for f in of_lines}) == len(said)
    assert all(f.place.line == "" for f in said if len(of_lines) > len(said))
