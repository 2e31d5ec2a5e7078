"""Tracks and points measured along a built fence, read from files into a job's grid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import shapely

from planner.errors import NothingToPlan
from planner.files.read import read
from planner.findings import Finding
from planner.job.job import Job
from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint
from planner.survey.into_grid import into_grid
from planner.upkeep.records import AsBuilt


@dataclass(frozen=True, slots=True)
class MeasuredFiles:
    """What some files gave.

    Attributes:
        records: One for each track or line, and one for the points of each file.
        findings: What was wrong with which row.
    """

    records: tuple[AsBuilt, ...]
    findings: tuple[Finding, ...]


def as_built_from(job: Job, sources: Sequence[Path], *, line: str = "", on: date | None = None, stated: str = "",
                  accuracy: Accuracy | None = None) -> MeasuredFiles:
    """What was measured along built fences, in the job's grid.

    Args:
        job: The job; its grid is the one that positions are brought into.
        sources: Files with tracks, lines or points.
        line: Fence line that they were measured along; empty where the nearest is meant.
        on: Day on which they were measured; None to take it from the times of a track.
        stated: Coordinate system of files that state none.
        accuracy: Accuracy class; None to take what the kind of file suggests.

    Raises:
        NothingToPlan: The files hold no line and no point.
        PlannerError: A file cannot be read, or its datum is not known.
    """
    readings = [read(path) for path in sources]
    survey = into_grid(readings, grid=job.crs, stated=stated, allow_ballpark=job.settings.allow_ballpark)
    records = [_of_line(measured, line, on, accuracy) for measured in survey.lines]
    for path in sources:
        mine = [point for point in survey.points if Path(point.file) == path]
        if mine:
            records.append(_of_points(path, mine, line, on, accuracy))
    if not records:
        raise NothingToPlan("there is no track, line or point in it", where=", ".join(str(path) for path in sources),
                            remedy="give what was measured along the built fence")
    return MeasuredFiles(tuple(records), survey.findings)


def _of_line(measured: MeasuredLine, line: str, on: date | None, accuracy: Accuracy | None) -> AsBuilt:
    return AsBuilt(measured.name, line, str(shapely.LineString(measured.xy[:, :2]).wkt), accuracy or measured.accuracy,
                   on or _day(measured), f"{Path(measured.file).name}, row {measured.row}")


def _of_points(path: Path, points: Sequence[MeasuredPoint], line: str, on: date | None,
               accuracy: Accuracy | None) -> AsBuilt:
    shape = shapely.MultiPoint([(point.x, point.y) for point in points])
    return AsBuilt(f"points of {path.stem}", line, str(shape.wkt), accuracy or points[0].accuracy, on,
                   f"{path.name}, {len(points)} points")


def _day(measured: MeasuredLine) -> date | None:
    if measured.time_s is None or not np.isfinite(measured.time_s).any():
        return None
    return datetime.fromtimestamp(float(np.nanmin(measured.time_s)), tz=UTC).date()
