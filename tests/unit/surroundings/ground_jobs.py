"""Jobs of a few straight fences with things around them, for the checks of the surroundings."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np

from planner.alignment.line import FenceLine
from planner.findings import Finding
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.settings import Settings
from planner.survey.features import Feature
from planner.survey.ground import RecordedLevels

DAY = date(2026, 5, 1)


def fence(*xy: tuple[float, float], name: str = "A", **facts: Any) -> FenceLine:
    """A fence of barbed wire through some corners."""
    return FenceLine(name, "cattle-barbed-4", np.array(xy, dtype=np.float64), **facts)


def thing(meaning: str, wkt: str, name: str = "it", **facts: str) -> Feature:
    """A feature; underscores in names of facts stand for blanks."""
    return Feature(name, meaning, wkt, tuple((key.replace("_", " "), text) for key, text in facts.items()))


def levels(line: FenceLine, *at_level: tuple[float, float]) -> RecordedLevels:
    """Levels along a straight line, known to a centimetre."""
    at, level = (np.array(column, dtype=np.float64) for column in zip(*at_level, strict=True))
    return RecordedLevels(line.xy, at, level, np.full(len(at), 0.01), np.full(len(at), 3, dtype=np.int64), 0.01,
                          ("levels",))


def job_of(lines: list[FenceLine], features: list[Feature], *, profiles: dict[str, RecordedLevels] | None = None,
           **settings: Any) -> Job:
    """A job of no grid."""
    return Job("Test", "", tuple(lines), profiles or {}, tuple(features), settings=Settings().changed(settings))


def planned(job: Job) -> JobPlan:
    """Its plan, on a day that stays the same."""
    return plan_job(job, today=DAY)


def found(job: Job, rule: str) -> list[Finding]:
    """Findings of one rule in the plan of a job."""
    return [finding for finding in planned(job).findings if finding.rule == rule]


def rules(job: Job, head: str) -> list[str]:
    """Rules of one head that the plan of a job is told of, each once, by number."""
    return sorted({finding.rule for finding in planned(job).findings if finding.rule.startswith(f"{head}-")})
