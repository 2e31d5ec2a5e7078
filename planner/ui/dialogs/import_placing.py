"""Where the files of an import lie: one grid for all, fitted walks, terrain. No widgets; for worker threads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypedDict

import numpy as np

from planner.errors import GridTrouble, PlannerError
from planner.geometry.arrays import Floats
from planner.job.job import Job
from planner.progress import Part, Progress
from planner.survey.fixes import MeasuredLine, Reading
from planner.ui.dialogs.import_reading import FileRead
from planner.ui.dialogs.import_shared import Pair, outlines_side_by_side

if TYPE_CHECKING:
    from planner.survey.into_grid import Survey
    from planner.survey.track_fit import TrackFit


@dataclass(frozen=True)
class Placed:
    """Where the files lie.

    Attributes:
        survey: Lines and points in the working grid; None where they cannot be placed yet.
        trouble: Why not.
        asks: Files that state no coordinate system or no datum.
        grid_name: Name of the working grid.
        terrain: What is known of each terrain file, one sentence each.
        terrain_troubles: Why a terrain file cannot be used.
        fits: Fitted tracks by file and name.
        crs_names: Name of each file's own coordinate system.
        place: Where it all lies, in words: longitude, latitude, and how far from what the job holds.
        side_by_side: Pairs of outlines that run along each other.
        fitting: Coordinate systems that what states none may be in: code and name.
        fitting_told: The same in words, and how far apart that puts it.
    """

    survey: Survey | None = None
    trouble: PlannerError | None = None
    asks: tuple[str, ...] = ()
    grid_name: str = ""
    terrain: Mapping[str, str] = field(default_factory=dict)
    terrain_troubles: Mapping[str, PlannerError] = field(default_factory=dict)
    fits: Mapping[tuple[str, str], TrackFit] = field(default_factory=dict)
    crs_names: Mapping[str, str] = field(default_factory=dict)
    place: str = ""
    side_by_side: tuple[Pair, ...] = ()
    fitting: tuple[tuple[str, str], ...] = ()
    fitting_told: str = ""


def place(files: Sequence[FileRead], job: Job, stated: str, progress: Progress) -> Placed:
    """Brings everything that was read into one grid, to see where it lies and what must be asked.

    Args:
        files: What was read.
        job: The job.
        stated: Coordinate system of files that state none; empty when not said.
        progress: Told how far it is.
    """
    from planner.survey.datum import grid_before_reading, grid_name
    from planner.survey.into_grid import into_grid

    readings = [f.reading for f in files if f.reading is not None and f.kind == "lines and points"]
    names = {r.file: grid_name(r.crs) for r in readings if r.crs}
    asks = tuple(r.file for r in readings if not r.crs or "datum not stated" in names.get(r.file, ""))
    base = Placed(asks=asks, crs_names=names, **_fitting([r for r in readings if r.file in asks], readings, job))
    progress.stop_if_cancelled()
    grid = grid_before_reading(job.crs, stated)
    survey = None
    if readings:
        try:
            survey = into_grid(readings, grid=grid, stated=stated, allow_ballpark=job.settings.allow_ballpark)
        except PlannerError as trouble:
            return replace(base, trouble=trouble)
        grid = survey.crs
    progress.stop_if_cancelled()
    terrain, wrong = _terrain_of(files, grid, stated, job)
    fits = _fits(survey.lines, Part(progress, 0.3, 1.0)) if survey is not None else {}
    return replace(base, survey=survey, grid_name=grid_name(grid) if grid else "", terrain=terrain,
                   terrain_troubles=wrong, fits=fits, place=_where(survey, job) if survey is not None else "",
                   side_by_side=outlines_side_by_side(survey.lines) if survey is not None else ())


class _Fitting(TypedDict, total=False):
    fitting: tuple[tuple[str, str], ...]
    fitting_told: str


def _fitting(asked: Sequence[Reading], readings: Sequence[Reading], job: Job) -> _Fitting:
    """What the numbers of some readings may be, beside what the job and the other files already say of the place."""
    from planner.survey.datum import to_lonlat
    from planner.survey.fitting_systems import fitting, told_fitting

    if not asked:
        return {}
    known = [(line.xy[:1, :2], job.crs) for line in job.lines[:1]]
    known += [(line.xy[:1, :2], r.crs) for r in readings if r not in asked for line in r.lines[:1]]
    near = to_lonlat(*known[0])[0].tolist() if known else None
    xy = np.concatenate([*(line.xy[:1, :2] for r in asked for line in r.lines),
                         np.array([(p.x, p.y) for r in asked for p in r.points]).reshape(-1, 2)])
    open_datum = asked[0].crs if all(r.crs for r in asked) else ""
    rows = fitting(xy, like=open_datum, near=(near[0], near[1]) if near else None)
    return {"fitting": rows, "fitting_told": told_fitting(rows, xy)}


def _terrain_of(files: Sequence[FileRead], grid: str, stated: str,
                job: Job) -> tuple[dict[str, str], dict[str, PlannerError]]:
    from planner.files.readers.terrain import open_terrain
    from planner.survey.datum import grid_name

    known: dict[str, str] = {}
    wrong: dict[str, PlannerError] = {}
    for one in files:
        if one.kind != "terrain":
            continue
        name = str(one.path)
        if not grid:
            wrong[name] = GridTrouble("the job has no working grid yet", where=one.path.name,
                                      remedy="choose the grid first")
            continue
        try:
            with open_terrain(one.path, grid=grid, crs=stated if not job.crs and not grid else "",
                              allow_ballpark=job.settings.allow_ballpark) as terrain:
                known[name] = (f"ground levels every {terrain.cell_m:.3g} m, {grid_name(terrain.crs)}; each level good "
                               f"to about {terrain.sd_m:.2g} m")
        except PlannerError as trouble:
            wrong[name] = trouble
    return known, wrong


def _fits(lines: Sequence[MeasuredLine], progress: Progress) -> dict[tuple[str, str], TrackFit]:
    from planner.survey.there_and_back import way_out
    from planner.survey.track_fit import fit_track

    fits: dict[tuple[str, str], TrackFit] = {}
    tracks = [line for line in lines if line.kind == "track"]
    for number, line in enumerate(tracks):
        progress.stop_if_cancelled()
        progress.report(number / len(tracks), f"fitting {line.name}")
        first = way_out(line)
        walk = first[0] if first is not None else line
        try:
            fits[line.file, line.name] = fit_track(walk.xy, time_s=walk.time_s)
        except PlannerError:
            continue  # the import itself says so, as a finding
    return fits


def _where(survey: Survey, job: Job) -> str:
    """Where it lies, and how far from what the job holds."""
    from planner.survey.datum import to_lonlat

    xy = positions(survey)
    if not len(xy):
        return ""
    middle = np.median(xy, axis=0)
    lon, lat = map(float, to_lonlat(middle[None, :], survey.crs)[0])
    text = f"{abs(lat):.4f}° {'S' if lat < 0 else 'N'}, {abs(lon):.4f}° {'W' if lon < 0 else 'E'}"
    own = [line.xy for line in job.lines]
    if own:
        off = float(np.hypot(*(np.concatenate(own).mean(axis=0) - middle)))
        text += f", {off / 1000.0:,.1f} km from the middle of the job" if off >= 1000.0 else ", beside the job's lines"
    return text


def positions(survey: Survey) -> Floats:
    """Every corner and point of a survey. [m] Shape (n, 2).

    Args:
        survey: The survey.
    """
    points = np.array([(p.x, p.y) for p in survey.points], dtype=np.float64).reshape(-1, 2)
    return np.concatenate([np.empty((0, 2)), *(line.xy[:, :2] for line in survey.lines), points])
