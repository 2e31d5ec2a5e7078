"""From files to a job: lines and points read, brought into one grid, added, and the ground recorded along them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from planner.errors import NothingToPlan
from planner.files.features_from import with_features
from planner.files.read import read, readable_endings
from planner.files.readers.terrain import open_terrain
from planner.findings import Finding, Place, worst_first
from planner.geometry.feet import feet_on
from planner.job.adding import FIT_TRACKS, Fitting, add_lines
from planner.job.job import Job
from planner.job.noticed import with_noticed
from planner.job.shared_edges import share_edges
from planner.profile.ground_line import is_stale, record_levels
from planner.progress import Part, Progress, Unwatched
from planner.settings import Settings
from planner.survey.datum import grid_before_reading, grid_name, to_code
from planner.survey.features_in import coded_points
from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint, Reading
from planner.survey.ground import Ground, PointGround, RecordedLevels, TrackGround
from planner.survey.into_grid import Survey, into_grid
from planner.survey.recorded_ground import recorded_grounds, single_stations
from planner.survey.there_and_back import way_out
from planner.survey.track_fit import TrackFit
from planner.units import Metre

RULES = {
    "survey-31": "Terrain that was given gives levels.",
    "survey-32": "A coordinate system that was said is needed.",
    "survey-33": "Surveyed points that were given for the ground stand on the lines.",
}


@dataclass(frozen=True)
class SurveyedJob:
    """A job with what some files gave.

    Attributes:
        job: The job.
        added: Names of the lines that were added.
        findings: What was wrong with which row, what was assumed, what was fitted.
        fits: Name of a line that was fitted to how it was.
    """

    job: Job
    added: tuple[str, ...]
    findings: tuple[Finding, ...]
    fits: Mapping[str, TrackFit] = field(default_factory=dict)


@dataclass(frozen=True)
class Wanted:
    """What a person said about some sources.

    Attributes:
        fence: Fence type key of the new lines.
        stated: Coordinate system of sources that state none, and the grid of a new job; empty when not said.
        accuracy: Accuracy class of the new lines, and of points whose source does not tell; None when not said.
        columns: Columns of a CSV; None to find them.
        fitting: Which lines are fitted to corners and straights.
        share_edges: True when rings are paddocks, and an edge that two share is one line.
        close_m: Width of gaps and overlaps between paddocks to close; None to tell of them only. [m]
        coded: True to take points by their codes as what stands there, such as a tree; False where that was said
            point by point.
    """

    fence: str
    stated: str = ""
    accuracy: Accuracy | None = None
    columns: Mapping[str, str] | None = None
    fitting: Fitting = FIT_TRACKS
    share_edges: bool = False
    close_m: Metre | None = None
    coded: bool = True


def new_job(name: str, settings: Settings) -> Job:
    """An empty job, its grid still to be chosen.

    Args:
        name: Name on the sheets.
        settings: Settings.
    """
    return Job(name=name, crs="", settings=settings, made_at=datetime.now(UTC).isoformat(timespec="seconds"))


def survey_into(job: Job, sources: Sequence[Path], grounds: Sequence[Path], wanted: Wanted, *,
                progress: Progress = Unwatched()) -> SurveyedJob:
    """Reads sources and terrain into a job.

    The grid of a job that has none is what was stated, where that can serve, else the one that suits the lines.

    Args:
        job: The job; one without a grid is new.
        sources: Files with lines and points.
        grounds: Terrain rasters and files of surveyed points, best first.
        wanted: What a person said about them.
        progress: Told of each step.

    Raises:
        NothingToPlan: There is no line in them.
        PlannerError: A file cannot be read, or states no coordinate system and none was said.
    """
    if wanted.stated:
        to_code(wanted.stated)
    share = 0.3 / max(len(sources), 1)
    readings = [read(path, columns=wanted.columns, progress=Part(progress, share * i, share * (i + 1)))
                for i, path in enumerate(sources)]
    rasters = [path for path in grounds if path.suffix.lower() not in readable_endings()]
    readings_of_ground = [read(path, columns=wanted.columns) for path in grounds if path not in rasters]
    return readings_into(job, readings, rasters, wanted, readings_of_ground=readings_of_ground,
                         progress=Part(progress, 0.3, 1.0))


def readings_into(job: Job, readings: Sequence[Reading], rasters: Sequence[Path], wanted: Wanted, *,
                  readings_of_ground: Sequence[Reading] = (), progress: Progress = Unwatched()) -> SurveyedJob:
    """Brings what was read already into a job, such as the lines that a person chose among those of a file.

    Args:
        job: The job; one without a grid is new.
        readings: What files gave, or the part of it that is wanted.
        rasters: Terrain rasters, best first.
        wanted: What a person said about them.
        readings_of_ground: Files of which only surveyed points are wanted.
        progress: Told of each line.

    Raises:
        NothingToPlan: There is no line in them, and none in the job.
        PlannerError: A file states no coordinate system and none was said, or a raster cannot be read.
    """
    known_points = len(job.points)
    survey = _once(_shared(_as_known(_survey(readings, job, wanted), wanted.accuracy), wanted), wanted)
    if not survey.lines and not job.lines:
        raise NothingToPlan("there is no line in it that can be fenced",
                            where=", ".join(reading.file for reading in readings), remedy=_why(survey.findings))
    points = _as_known(into_grid(readings_of_ground, grid=survey.crs, stated=wanted.stated,
                                 allow_ballpark=job.settings.allow_ballpark),
                       wanted.accuracy) if readings_of_ground else None
    notes = [f"Working grid {grid_name(survey.crs)}.", *survey.notes, *(points.notes if points else ())]
    added = add_lines(replace(job, crs=survey.crs), survey.lines, survey.points, fence=wanted.fence,
                      accuracy=wanted.accuracy, fitting=wanted.fitting)
    stands = coded_points(survey.points if wanted.coded else ())
    job, _, _ = with_features(added.job, stands.features)
    if points:
        job = replace(job, points=(*job.points, *(p for p in points.points if p.level_m is not None)))
    with ExitStack() as open_files:
        terrain = [open_files.enter_context(open_terrain(
            path, grid=job.crs, crs=wanted.stated, allow_ballpark=job.settings.allow_ballpark)) for path in rasters]
        notes += [note for raster in terrain for note in raster.notes]
        levels = _levels(job, survey.lines, added.names, terrain, progress,
                         new_points=len(job.points) > known_points)
        silent = (*_silent(rasters, terrain, job, levels), *(_aside(points, job) if points else ()))
    found = (*survey.findings, *(points.findings if points else ()), *added.findings, *stands.findings, *silent)
    job = replace(job, levels=levels, notes=tuple(dict.fromkeys((*job.notes, *notes))),
                  grounds=tuple(dict.fromkeys((*job.grounds, *(str(path.resolve()) for path in rasters)))))
    return SurveyedJob(with_noticed(job, found), added.names, found, added.fits)


def _shared(survey: Survey, wanted: Wanted) -> Survey:
    if not wanted.share_edges:
        return survey
    lines, findings = share_edges(survey.lines, close_m=wanted.close_m)
    return replace(survey, lines=tuple(lines), findings=(*survey.findings, *findings))


def _once(survey: Survey, wanted: Wanted) -> Survey:
    """The survey with the way out alone of each walk that comes back along itself, where walks are fitted."""
    if not wanted.fitting.tracks:
        return survey
    lines, findings = [], []
    for line in survey.lines:
        first = way_out(line) if line.kind == "track" else None
        lines.append(first[0] if first else line)
        findings += [first[1]] if first else []
    return replace(survey, lines=tuple(lines), findings=(*survey.findings, *findings))


def _silent(rasters: Sequence[Path], terrain: Sequence[Ground], job: Job,
            levels: Mapping[str, RecordedLevels]) -> tuple[Finding, ...]:
    """A finding for each raster that knows no level along any line."""
    used = {name for recorded in levels.values() for name in recorded.names}
    return tuple(Finding(
        "survey-31", "warning", f"The terrain '{path.name}' gives no level along any line: it does not reach them, or "
        "holds nothing there.", "Check its coordinate system and the area that it covers.", Place(file=str(path)))
        for path, raster in zip(rasters, terrain, strict=True)
        if raster.name not in used and not any(np.isfinite(raster.levels(line.xy).level_m).any() for line in job.lines))


def _aside(points: Survey, job: Job) -> tuple[Finding, ...]:
    """How many of the surveyed points given for the ground stand off every line, so that their levels count for none.

    None is told where half of them or more stand on one: points beside the line are measured for other things too.
    """
    levelled = [point for point in points.points if point.level_m is not None]
    if not levelled or not job.lines:
        return ()
    reach = PointGround(levelled, settings=job.settings).reach_m
    spots = np.array([(point.x, point.y) for point in levelled])
    on = np.zeros(len(spots), dtype=bool)
    for line in job.lines:
        on |= np.isfinite(feet_on(line.xy[:, :2], spots, within=reach)[0])
    off = int(len(on) - on.sum())
    if 2 * off <= len(on):
        return ()
    return (Finding(
        "survey-33", "note", f"{off} of {len(on)} surveyed points with levels stand more than {reach:g} m off "
        "every line, and no level is taken from them.", "Give a terrain raster made of them, or points measured along "
        "the line.", Place(file=levelled[0].file)),)


def _as_known(survey: Survey, accuracy: Accuracy | None) -> Survey:
    """The survey with the accuracy that a person knows better than the reader; it holds for levels as well.

    Points of which the reader knows the class keep it: a handheld's waypoints stay that beside a surveyed line.
    """
    if accuracy is None:
        return survey
    return replace(survey, lines=tuple(replace(line, accuracy=accuracy) for line in survey.lines),
                   points=tuple(replace(point, accuracy=accuracy) if point.accuracy == "unknown" else point
                                for point in survey.points))


def _survey(readings: Sequence[Reading], job: Job, wanted: Wanted) -> Survey:
    grid = grid_before_reading(job.crs, wanted.stated)
    survey = into_grid(readings, grid=grid, stated=wanted.stated, allow_ballpark=job.settings.allow_ballpark)
    if wanted.stated and all(reading.crs for reading in readings) and to_code(wanted.stated) != survey.crs:
        told = Finding(
            "survey-32", "note", f"'{wanted.stated}' was not needed: every file states its own coordinate system, and "
            f"the working grid is {grid_name(survey.crs)}.",
            "Leave it out, or name a projected grid in metres to work in.")
        return replace(survey, findings=(*survey.findings, told))
    return survey


def _why(findings: Sequence[Finding]) -> str:
    if not findings:
        return "give a file with tracks, routes, lines or polygons"
    worst = worst_first(list(findings))[0].message.rstrip(".")
    return worst + (f" (and {len(findings) - 1} more)" if len(findings) > 1 else "")


def _levels(job: Job, measured: Sequence[MeasuredLine], added: Sequence[str], terrain: Sequence[Ground],
            progress: Progress, *, new_points: bool) -> dict[str, RecordedLevels]:
    """Levels along every line that has none yet; every line again when there is new terrain or there are new points.

    What was known of a line stays known: its earlier profile stands behind what is new.
    """
    own = dict(zip(added, measured, strict=True))
    levels: dict[str, RecordedLevels] = dict(job.levels)
    again = [line for line in job.lines if terrain or new_points or line.name not in levels]
    surveyed = [PointGround(job.points, settings=job.settings)] if job.points else []
    for number, line in enumerate(again):
        progress.stop_if_cancelled()
        progress.report(number / len(again), f"ground along {line.name}")
        mine = _own_levels(own.get(line.name), job.settings)
        grounds: list[Ground] = [*surveyed, *terrain]
        grounds[len(surveyed) if isinstance(mine, PointGround) else len(grounds):0] = [mine] if mine else []
        before = levels.get(line.name)
        if before is not None:
            grounds += recorded_grounds(before)
        if grounds:
            levels[line.name] = record_levels(
                line.xy, grounds, step_m=job.settings.profile_step_m, closed=line.closed,
                extra_at_m=None if before is None or is_stale(line.xy, before) else single_stations(before),
                own_walk=mine if isinstance(mine, TrackGround) else None)
    return levels


def _own_levels(measured: MeasuredLine | None, settings: Settings) -> PointGround | TrackGround | None:
    """The levels that came with a line: those of its corners as points, a walk's heights smoothed."""
    if measured is None or measured.level_m is None:
        return None
    if measured.kind == "track":
        return TrackGround(measured.xy, measured.level_m, f"heights of {measured.name}", accuracy=measured.accuracy)
    places = zip(measured.xy.tolist(), measured.level_m.tolist(), strict=True)
    corners = [MeasuredPoint(f"{measured.name} {i}", x, y, level, "corner", None, measured.accuracy, measured.file, i)
               for i, ((x, y), level) in enumerate(places, 1)]
    return PointGround(corners, f"levels of {measured.name}", settings=settings)
