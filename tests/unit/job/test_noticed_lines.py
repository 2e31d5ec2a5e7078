"""What was noticed while lines were added stands among the findings of the plan and can be set aside."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from plain_jobs import EAST, NORTH, straight_job
from waiving import check_waiver

from planner.findings import Finding
from planner.geometry.arrays import frozen
from planner.job.adding import add_lines
from planner.job.job import Job
from planner.job.noticed import with_noticed
from planner.job.shared_edges import share_edges
from planner.survey.fixes import MeasuredLine, MeasuredPoint
from planner.survey.track_fit import fit_track

JOB = straight_job()


def _line(name: str, *corners: tuple[float, float], closed: bool = False, kind: str = "polyline") -> MeasuredLine:
    """A line that was measured, its corners from the start of the job's fence."""
    xy = np.array(corners, dtype=np.float64) + np.array([EAST, NORTH])
    return MeasuredLine(name, frozen(xy), None, None, closed, kind, "handheld", "a.gpx", 1)


def _square(name: str, west: float) -> MeasuredLine:
    return _line(name, *shapely.get_coordinates(shapely.box(west, 500, west + 100, 600)).tolist(), closed=True)


def _found(rule: str, monkeypatch: pytest.MonkeyPatch) -> tuple[Job, tuple[Finding, ...]]:
    """A job to which was added what makes a finding of a rule, and what was noticed then."""
    if rule == "line-60":
        return JOB, tuple(share_edges([_square("A", 0.0), _square("B", 100.3)], close_m=None)[1])
    if rule == "line-62":
        return JOB, tuple(share_edges([_line("bow", (0, 500), (10, 510), (10, 500), (0, 510), closed=True)],
                                      close_m=None)[1])
    if rule == "line-52":
        far = MeasuredPoint("G", EAST + 50.0, NORTH + 90.0, None, "gate", 4.2, "survey", "p.csv", 7)
        added = add_lines(JOB, [], [far], fence="general-mesh")
    elif rule == "line-59":
        added = add_lines(JOB, [_line("Again", (0, 0), (400, 0))], [], fence="general-mesh")
    elif rule == "line-50":
        walk = [*((5.0 * k, 500.0) for k in range(20)), *((100.0, 500.0 + 5.0 * k) for k in range(20)),
                *((100.0 - 5.0 * k, 600.0) for k in range(20)), *((0.0, 600.0 - 5.0 * k) for k in range(17))]
        added = add_lines(JOB, [_line("Walk", *walk, closed=True, kind="track")], [], fence="general-mesh")
    else:
        walk_54 = _line("Walk", *((0.1 * k, 500.0) for k in range(20)), kind="track")
        fit = fit_track(walk_54.xy)
        monkeypatch.setattr("planner.job.adding.fit_track", lambda *given, **more: replace(
            fit, corners=walk_54.xy[[0, 0]], corner_sd_m=np.ones(2)))
        added = add_lines(JOB, [walk_54], [], fence="general-mesh")
    return added.job, added.findings


@pytest.mark.rules(fires="line-50 line-52 line-54 line-59 line-60 line-62",
                   aside="line-50 line-52 line-54 line-59 line-60 line-62")
@pytest.mark.parametrize("rule", ["line-50", "line-52", "line-54", "line-59", "line-60", "line-62"])
def test_what_was_noticed_of_lines_is_set_aside(rule: str, monkeypatch: pytest.MonkeyPatch):
    job, found = _found(rule, monkeypatch)
    assert rule in {finding.rule for finding in found}
    check_waiver(with_noticed(job, found), rule)
