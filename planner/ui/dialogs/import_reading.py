"""Reading files for the import, and bringing what was chosen into the job. No widgets; for worker threads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from planner.errors import GridTrouble, JobTrouble, PlannerError
from planner.findings import Finding, Place
from planner.geometry.arrays import Floats
from planner.job.job import Job
from planner.progress import Part, Progress
from planner.survey.fixes import Accuracy, MeasuredLine, MeasuredPoint, Reading
from planner.ui.dialogs.import_roles import Role, usual_point_role, usual_role
from planner.ui.dialogs.import_shared import outlines_side_by_side

if TYPE_CHECKING:
    from planner.materials.prices import PriceList
    from planner.survey.into_grid import Survey
    from planner.survey.track_fit import TrackFit

FileKind = Literal["lines and points", "terrain", "prices", "nothing"]
TABLES = (".csv", ".txt", ".tsv", ".dat", ".xyz", ".pts", ".pnt")
SAMPLE_ROWS = 8


@dataclass(frozen=True)
class FileRead:
    """What one file turned out to be.

    Attributes:
        path: The file.
        kind: What it is for the job.
        reading: Its lines and points; None where it has none.
        prices: Its prices; None where it is no price list.
        findings: What was wrong with which row.
        trouble: Why nothing of it can be used; None when something can.
        rows: First rows of a table, as cells.
        columns: What was said about its columns.
    """

    path: Path
    kind: FileKind
    reading: Reading | None = None
    prices: PriceList | None = None
    findings: tuple[Finding, ...] = ()
    trouble: PlannerError | None = None
    rows: tuple[tuple[str, ...], ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_table(self) -> bool:
        """True for a table whose columns may be chosen."""
        return self.path.suffix.lower() in TABLES and self.kind != "prices" and bool(self.rows)


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
        side_by_side: Pairs of outlines that run along each other, each by file and name, and how far. [m]
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
    side_by_side: tuple[tuple[tuple[str, str], tuple[str, str], float], ...] = ()


@dataclass(frozen=True)
class Choices:
    """What a person chose.

    Attributes:
        fence: Fence type key of new lines.
        stated: Coordinate system of files that state none.
        accuracy: Accuracy class; None to take the reader's.
        as_walked: True to keep every fix of a walk.
        roles: File and line name to what it is taken as.
        point_roles: File, row and name of a point to what it is taken as.
        columns: File and meaning to the column that says each fact.
        share_edges: True when an edge that two outlines share becomes one line.
        close_m: Width of gaps between outlines to close as well; None to tell of them only. [m]
    """

    fence: str
    stated: str = ""
    accuracy: Accuracy | None = None
    as_walked: bool = False
    roles: Mapping[tuple[str, str], Role] = field(default_factory=dict)
    point_roles: Mapping[tuple[str, int, str], Role] = field(default_factory=dict)
    columns: Mapping[tuple[str, str], Mapping[str, str]] = field(default_factory=dict)
    share_edges: bool = False
    close_m: float | None = None

    def role_of(self, line: MeasuredLine) -> Role:
        """What a line is taken as."""
        return self.roles.get((line.file, line.name)) or usual_role(line)

    def point_role_of(self, point: MeasuredPoint) -> Role:
        """What a point is taken as."""
        return self.point_roles.get((point.file, point.row, point.name)) or usual_point_role(point)

    def columns_of(self, file: str, meaning: str) -> Mapping[str, str]:
        """Columns that were chosen for the facts of a meaning in a file."""
        return self.columns.get((file, meaning), {})

    def meanings_in(self, reading: Reading) -> list[Role]:
        """Meanings that something in a reading is taken as, in its order."""
        roles = [*map(self.role_of, reading.lines), *map(self.point_role_of, reading.points)]
        return [role for role in dict.fromkeys(roles) if role not in ("fence", "survey", "none")]

    def part_of(self, reading: Reading, role: Role) -> Reading:
        """What of a reading is taken as something."""
        return replace(reading, lines=tuple(line for line in reading.lines if self.role_of(line) == role),
                       points=tuple(point for point in reading.points if self.point_role_of(point) == role))

    def fences_of(self, reading: Reading) -> Reading:
        """Lines of a reading to be fenced, and the points along them: what stands there has a level as well."""
        return replace(reading, lines=self.part_of(reading, "fence").lines,
                       points=tuple(point for point in reading.points
                                    if self.point_role_of(point) not in ("none", "gate")))


def read_file(path: Path, job: Job, columns: Mapping[str, str], progress: Progress) -> FileRead:
    """What a file is and holds; a file that cannot be used says why.

    Args:
        path: The file.
        job: The job, whose items a price list is read against.
        columns: What a person said about its columns.
        progress: Told how far it is.
    """
    from planner.files.read import read, readable_endings

    rows = first_rows(path)
    if _is_price_list(rows):
        return _prices(path, job, rows)
    if path.suffix.lower() not in readable_endings() and path.suffix.lower() not in TABLES:
        return FileRead(path, "terrain")
    try:
        reading = read(path, columns=dict(columns), progress=progress)
    except PlannerError as trouble:
        if "raster" in trouble.what:
            return FileRead(path, "terrain")
        return FileRead(path, "nothing", trouble=trouble, rows=rows, columns=columns)
    kind: FileKind = "lines and points" if reading.lines or reading.points else "nothing"
    return FileRead(path, kind, reading, findings=reading.troubles, rows=rows, columns=columns)


def first_rows(path: Path) -> tuple[tuple[str, ...], ...]:
    """The first rows of a table as cells; nothing for what is no table.

    Args:
        path: The file.
    """
    import csv

    if path.suffix.lower() not in TABLES:
        return ()
    try:
        with path.open("rb") as stream:
            text = stream.read(16_384).decode("utf-8-sig", errors="replace")
    except OSError:
        return ()
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")][:SAMPLE_ROWS + 1]
    if not lines or "\0" in text:
        return ()
    mark = max(",;\t|", key=lambda sign: min(line.count(sign) for line in lines))
    if min(line.count(mark) for line in lines) == 0:
        return tuple(tuple(line.split()) for line in lines)
    return tuple(tuple(cell.strip() for cell in row) for row in csv.reader(lines, delimiter=mark))


def place(files: Sequence[FileRead], job: Job, stated: str, progress: Progress) -> Placed:
    """Brings everything that was read into one grid, to see where it lies and what must be asked.

    Args:
        files: What was read.
        job: The job.
        stated: Coordinate system of files that state none; empty when not said.
        progress: Told how far it is.
    """
    from planner.survey.datum import grid_name, usable_as_grid
    from planner.survey.into_grid import into_grid

    readings = [f.reading for f in files if f.reading is not None and f.kind == "lines and points"]
    names = {r.file: grid_name(r.crs) for r in readings if r.crs}
    asks = tuple(r.file for r in readings if not r.crs or "datum not stated" in names.get(r.file, ""))
    base = Placed(asks=asks, crs_names=names)
    progress.stop_if_cancelled()
    grid = job.crs or (stated if stated and not usable_as_grid(stated) else "")
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
    if readings:
        survey = _in_grid([replace(r, lines=()) if r.points else r for r in readings], job, choices)
        kept = [p for p in survey.points if p.level_m is not None and choices.point_role_of(p) != "none"]
        grid, points, notes = survey.crs, (*points, *kept), survey.notes
    if not grid:
        raise JobTrouble("the job has no working grid yet", remedy="choose one before the terrain is brought in")
    return replace(job, crs=grid, points=points, notes=tuple(dict.fromkeys((*job.notes, *notes))),
                   grounds=tuple(dict.fromkeys((*job.grounds, *(str(path.resolve()) for path in rasters)))))


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
    from planner.survey.datum import usable_as_grid
    from planner.survey.into_grid import into_grid

    grid = job.crs or (choices.stated if choices.stated and not usable_as_grid(choices.stated) else "")
    return into_grid(readings, grid=grid, stated=choices.stated, allow_ballpark=job.settings.allow_ballpark)


def _is_price_list(rows: Sequence[Sequence[str]]) -> bool:
    heads = {cell.lower() for cell in rows[0]} if rows else set()
    return {"item", "price"} <= heads


def _prices(path: Path, job: Job, rows: tuple[tuple[str, ...], ...]) -> FileRead:
    from planner.files.readers.price_list import read_price_list
    from planner.job.derive import catalogue_of

    try:
        prices, findings = read_price_list(path, catalogue_of(job).items)
    except PlannerError as trouble:
        return FileRead(path, "prices", trouble=trouble, rows=rows)
    return FileRead(path, "prices", prices=prices, findings=findings, rows=rows)


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


def row_words(finding: Finding) -> str:
    """Where a finding stands in its file.

    Args:
        finding: The finding.
    """
    where: Place = finding.place
    return f"row {where.row}" if where.row is not None else "whole file"
