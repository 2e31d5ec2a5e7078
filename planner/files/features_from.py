"""Features from files into a job: trees, water, services, ground and all else that stands around the fences."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.errors import NothingToPlan
from planner.files.read import read
from planner.findings import Finding
from planner.job.job import Job
from planner.progress import Part, Progress, Unwatched
from planner.survey.datum import to_code, usable_as_grid
from planner.survey.features import Feature
from planner.survey.features_in import Taking, Thing, features_of, things
from planner.survey.fixes import Reading
from planner.survey.into_grid import into_grid


@dataclass(frozen=True)
class FeaturedJob:
    """A job with what some files say stands around its fences.

    Attributes:
        job: The job.
        added: Features that are new.
        known: Number of those that were in the job already, to the last fact.
        findings: What was wrong with which row.
    """

    job: Job
    added: tuple[Feature, ...]
    known: int
    findings: tuple[Finding, ...]


def features_from(job: Job, sources: Sequence[Path], taking: Taking, *, stated: str = "",
                  columns: Mapping[str, str] | None = None, progress: Progress = Unwatched()) -> FeaturedJob:
    """Reads files into a job as features.

    Args:
        job: The job; one without a grid takes what was stated, where that can serve, else the sources' own.
        sources: Files with lines, polygons and points.
        taking: How what they hold is taken.
        stated: Coordinate system of sources that state none.
        columns: Columns of a CSV; None to find them.
        progress: Told of each file.

    Raises:
        NothingToPlan: There is nothing in them.
        PlannerError: A file cannot be read, or states no coordinate system and none was said.
    """
    if stated:
        to_code(stated)
    readings = [read(path, columns=columns, progress=Part(progress, i / len(sources), (i + 1) / len(sources)))
                for i, path in enumerate(sources)]
    return readings_as_features(job, readings, lambda _: taking, stated=stated)


def readings_as_features(job: Job, readings: Sequence[Reading], taking: Callable[[Thing], Taking], *,
                         stated: str = "") -> FeaturedJob:
    """Brings what was read already into a job as features.

    Args:
        job: The job.
        readings: What files gave, or the part of it that is wanted.
        taking: How each thing is taken.
        stated: Coordinate system of sources that state none.

    Raises:
        NothingToPlan: There is nothing in them.
        PlannerError: A source states no coordinate system and none was said, or cannot be brought into the grid.
    """
    grid = job.crs or (stated if stated and not usable_as_grid(stated) else "")
    survey = into_grid(readings, grid=grid, stated=stated, allow_ballpark=job.settings.allow_ballpark)
    if not survey.lines and not survey.points:
        raise NothingToPlan("there is nothing in it that can be used", where=", ".join(r.file for r in readings),
                            remedy="give a file with lines, polygons or points")
    made = features_of(things(survey.lines, survey.points), taking)
    found = (*survey.findings, *made.findings)
    told = [*survey.notes, *(f"{finding.message} {finding.remedy}" for finding in found)]
    job = replace(job, crs=survey.crs, notes=tuple(dict.fromkeys((*job.notes, *told))))
    job, added = with_features(job, made.features)
    return FeaturedJob(job, added, len(made.features) - len(added), found)


def with_features(job: Job, features: Sequence[Feature]) -> tuple[Job, tuple[Feature, ...]]:
    """The job with those features that it does not hold already, and which these are.

    Args:
        job: The job.
        features: Features in its grid.
    """
    held = set(job.features)
    added = tuple(feature for feature in dict.fromkeys(features) if feature not in held)
    return (replace(job, features=(*job.features, *added)) if added else job), added
