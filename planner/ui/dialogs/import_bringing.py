"""Brings what was chosen in the import into the job. No widgets; for worker threads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from planner.errors import JobTrouble
from planner.findings import Finding
from planner.job.job import Job
from planner.job.noticed import with_noticed
from planner.progress import Part, Progress
from planner.survey.fixes import Reading
from planner.ui.dialogs.import_choices import Choices
from planner.ui.dialogs.import_reading import FileRead

if TYPE_CHECKING:
    from planner.survey.into_grid import Survey


def bring_in(job: Job, files: Sequence[FileRead], choices: Choices, progress: Progress) -> tuple[Job, str]:
    """The job with what was chosen, and what to call it.

    Args:
        job: The job.
        files: What was read.
        choices: What a person chose.
        progress: Told of each line.

    Raises:
        PlannerError: It cannot be brought in; nothing of it is.
    """
    from planner.files.survey_in import Wanted, readings_into
    from planner.job.adding import AS_READ, FIT_TRACKS

    readings = [f.reading for f in files if f.reading is not None and f.kind == "lines and points"]
    rasters = [f.path for f in files if f.kind == "terrain" and f.trouble is None]
    fences = [choices.fences_of(reading) for reading in readings]
    wanted = Wanted(choices.fence, choices.stated, choices.accuracy,
                    fitting=AS_READ if choices.as_walked else FIT_TRACKS, coded=False,
                    share_edges=choices.share_edges, close_m=choices.close_m)
    made = job
    if any(r.lines for r in fences) or job.lines:
        made = readings_into(job, [r for r in fences if r.lines or r.points], rasters, wanted,
                             progress=Part(progress, 0.0, 0.9)).job
    elif readings or rasters:
        made = _without_fences(job, readings, rasters, choices)
    made = _with_features(made, readings, choices)
    for one in files:
        if one.prices is not None:
            made = replace(made, prices=one.prices)
    left = [f"'{line.name}' of {Path(line.file).name}" for r in readings for line in r.lines
            if choices.role_of(line) == "none"]
    left += [f"'{point.name}' of {Path(point.file).name}" for r in readings for point in r.points
             if choices.point_role_of(point) == "none"]
    if left:
        made = replace(made, notes=(*made.notes, f"Left out on purpose: {', '.join(left)}."))
    progress.report(1.0, "done")
    named = [f.path.name for f in files if f.trouble is None]
    return made, named[0] if len(named) == 1 else f"{len(named)} files"


def _without_fences(job: Job, readings: Sequence[Reading], rasters: Sequence[Path], choices: Choices) -> Job:
    """A job without lines takes ground and surveyed points all the same."""
    grid = job.crs or choices.stated
    points = job.points
    notes: tuple[str, ...] = ()
    found: tuple[Finding, ...] = ()
    if readings:
        survey = _in_grid([replace(r, lines=()) if r.points else r for r in readings], job, choices)
        kept = [p for p in survey.points if p.level_m is not None and choices.point_role_of(p) != "none"]
        grid, points, notes, found = survey.crs, (*points, *kept), survey.notes, survey.findings
    if not grid:
        raise JobTrouble("the job has no working grid yet", remedy="choose one before the terrain is brought in")
    made = replace(job, crs=grid, points=points, notes=tuple(dict.fromkeys((*job.notes, *notes))),
                   grounds=tuple(dict.fromkeys((*job.grounds, *(str(path.resolve()) for path in rasters)))))
    return with_noticed(made, found)


def _with_features(job: Job, readings: Sequence[Reading], choices: Choices) -> Job:
    from planner.files.features_from import readings_as_features
    from planner.survey.features_in import Taking

    for reading in readings:
        for meaning in choices.meanings_in(reading):
            how = Taking(meaning, choices.columns_of(reading.file, meaning))
            job = readings_as_features(job, [choices.part_of(reading, meaning)], lambda _, how=how: how,  # type: ignore[misc]
                                       stated=choices.stated).job
    return job


def _in_grid(readings: Sequence[Reading], job: Job, choices: Choices) -> Survey:
    from planner.survey.datum import grid_before_reading
    from planner.survey.into_grid import into_grid

    grid = grid_before_reading(job.crs, choices.stated)
    return into_grid(readings, grid=grid, stated=choices.stated, allow_ballpark=job.settings.allow_ballpark)
