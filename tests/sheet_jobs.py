"""Jobs for the sheets: a ridge and a gully, a line of many corners, any fence type on a short line."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from planner.alignment.line import FenceLine, Gate
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages
from planner.job.derive import plan_job
from planner.job.job import Job
from planner.job.plan import JobPlan
from planner.survey.features import Feature
from planner.survey.ground import SURVEY, LevelQuality, RecordedLevels

LONG_NAME = "Upper Wollombi Creek and Back Ridge boundary, second stage A"
LONG_GATE = "North paddock machinery gate beside the old shearing shed AA"
assert len(LONG_NAME) == len(LONG_GATE) == 60
RIDGE_CHAINAGE = (0.0, 140.0, 260.0, 410.0, 520.0, 690.0, 830.0, 960.0, 1120.0, 1250.0, 1400.0)
RIDGE_LEVEL = (212.0, 231.0, 244.0, 226.0, 205.0, 229.0, 251.0, 240.0, 214.0, 222.0, 236.0)
_START = np.array([455_000.0, 5_951_800.0])


def levels_along(xy: Floats, level: Callable[[Floats], Floats]) -> RecordedLevels:
    at = np.unique(np.concatenate((np.arange(0.0, chainages(xy)[-1], 1.0), chainages(xy))))
    return RecordedLevels(xy=xy, at_m=at, level_m=level(at), sd_m=np.full(len(at), 0.3),
                          source=np.full(len(at), SURVEY, dtype=np.int64), noise_m=0.0, names=("levels",),
                          quality=LevelQuality())


def ridge_job(fence: str = "general-mesh") -> Job:
    """1.4 km over two crests and two dips, with features of every kind and names of 60 characters."""
    xy = np.vstack((_START, _START + 1400.0 * np.array([np.sin(1.1), np.cos(1.1)])))
    gate = xy[0] + 0.04 * (xy[1] - xy[0])
    features = (
        Feature(LONG_NAME, "boundary", "LINESTRING (455000 5951700, 456300 5952500)"),
        Feature("Old fence", "existing fence", "LINESTRING (455100 5951900, 456200 5952400)"),
        Feature("Remnant forest", "vegetation",
                "POLYGON ((455300 5952100, 455500 5952100, 455520 5952250, 455310 5952260, 455300 5952100))"),
        Feature("Power line", "service", "LINESTRING (455600 5951700, 455600 5952600)"),
        Feature("Bore", "trough", "POINT (455700 5952100)"),
        Feature("Track", "track", "LINESTRING (455000 5951780, 455900 5952400)"))
    line = FenceLine(LONG_NAME, fence, xy, False, "survey", (Gate(LONG_GATE, float(gate[0]), float(gate[1]), 4.2),))
    return Job(name=LONG_NAME, crs="EPSG:7855", lines=(line,), features=features, levels={
        LONG_NAME: levels_along(xy, lambda at: np.interp(at, RIDGE_CHAINAGE, RIDGE_LEVEL))})


def many_corners_job(corners: int, fence: str = "general-mesh") -> Job:
    """A line that turns at every corner, over ground that rolls hard."""
    rng = np.random.default_rng(3)
    turns = np.where(np.arange(corners) % 2, 0.9, -0.9) + rng.uniform(-0.4, 0.4, corners)
    direction, length = np.cumsum(turns), rng.uniform(90.0, 150.0, corners)
    steps = np.column_stack((length * np.cos(direction), length * np.sin(direction)))
    xy = np.vstack((_START, _START + np.cumsum(steps, axis=0)))
    line = FenceLine(LONG_NAME, fence, xy, False, "handheld")
    return Job(name=LONG_NAME, crs="EPSG:7855", lines=(line,), levels={
        LONG_NAME: levels_along(xy, lambda at: 220.0 + 9.0 * np.sin(at / 110.0) + 1.5 * np.sin(at / 31.0))})


def planned(job: Job) -> JobPlan:
    return plan_job(job)
