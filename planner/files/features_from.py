"""Features from files into a job: trees, water, services, ground and all else that stands around the fences."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.errors import BadSetting, NothingToPlan
from planner.files.read import read
from planner.findings import Finding
from planner.job.job import Job
from planner.job.noticed import with_noticed
from planner.progress import Part, Progress, Unwatched
from planner.survey.datum import grid_before_reading, to_code
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
        changed: Features that were in the job already, and of which the files now say something else.
        known: Number of those that were in the job already, to the last fact.
        findings: What was wrong with which row.
    """

    job: Job
    added: tuple[Feature, ...]
    changed: tuple[Feature, ...]
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
        BadSetting: None of them has a column that was named for a fact.
        PlannerError: A file cannot be read, or states no coordinate system and none was said.
    """
    if stated:
        to_code(stated)
    readings = [read(path, columns=columns, progress=Part(progress, i / len(sources), (i + 1) / len(sources)))
                for i, path in enumerate(sources)]
    _check_columns(readings, taking)
    return readings_as_features(job, readings, lambda _: taking, stated=stated)


def _check_columns(readings: Sequence[Reading], taking: Taking) -> None:
    """Stops at a column that was named for a fact and is in none of the files."""
    rows = [it.attributes for reading in readings for it in reading.lines]
    rows += [it.attributes for reading in readings for it in reading.points]
    known = dict.fromkeys(key for row in rows for key, _ in row)
    for fact, column in taking.columns.items():
        if column and column not in known:
            raise BadSetting(f"no row has a column '{column}' for '{fact}'",
                             where=", ".join(reading.file for reading in readings),
                             remedy=f"use one of {', '.join(known)}" if known else "leave it out")


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
    grid = grid_before_reading(job.crs, stated)
    survey = into_grid(readings, grid=grid, stated=stated, allow_ballpark=job.settings.allow_ballpark)
    if not survey.lines and not survey.points:
        raise NothingToPlan("there is nothing in it that can be used", where=", ".join(r.file for r in readings),
                            remedy="give a file with lines, polygons or points")
    made = features_of(things(survey.lines, survey.points), taking)
    found = (*survey.findings, *made.findings)
    job = replace(job, crs=survey.crs, notes=tuple(dict.fromkeys((*job.notes, *survey.notes))))
    job = with_noticed(job, found)
    job, added, changed = with_features(job, made.features)
    return FeaturedJob(job, added, changed, len(made.features) - len(added) - len(changed), found)


def with_features(job: Job, features: Sequence[Feature]) -> tuple[Job, tuple[Feature, ...], tuple[Feature, ...]]:
    """The job with some features: those that it holds already, from the same row with the same shape and meaning,
    take what is said of them now and keep what else was known; the others are added.

    Args:
        job: The job.
        features: Features in its grid.

    Returns:
        The job, what was added, what was changed.
    """
    held = {_same(feature): at for at, feature in enumerate(job.features) if feature.origin}
    kept, all_held = list(job.features), set(job.features)
    added: list[Feature] = []
    changed: list[Feature] = []
    for feature in dict.fromkeys(features):
        at = held.get(_same(feature)) if feature.origin else None
        if feature in all_held:
            continue
        if at is None:
            added.append(feature)
            continue
        facts = tuple({**dict(kept[at].attributes), **dict(feature.attributes)}.items())
        if facts != kept[at].attributes:
            kept[at] = replace(kept[at], attributes=facts)
            changed.append(kept[at])
    if not added and not changed:
        return job, (), ()
    return replace(job, features=(*kept, *added)), tuple(added), tuple(changed)


def _same(feature: Feature) -> tuple[str, str, str]:
    return feature.origin, feature.meaning, feature.wkt
