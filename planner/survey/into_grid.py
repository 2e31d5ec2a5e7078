"""Into the grid: what all sources gave, brought into the one grid that a job is measured in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.errors import GridTrouble, NothingToPlan
from planner.findings import Finding, Place
from planner.geometry.arrays import Booleans, Floats, Integers, frozen
from planner.sources import Source
from planner.survey.coordinate_systems import grid_name, is_same_but_datum, lonlat_datum, system, usable_as_grid
from planner.survey.datum_shift import carry, to_lonlat
from planner.survey.fitting_systems import fitting, told_fitting
from planner.survey.fixes import MeasuredLine, MeasuredPoint, Reading
from planner.survey.grid_choice import suggest_grid
from planner.survey.position_checks import as_finding, jump_finding, jump_of, looks_like, position_faults
from planner.survey.usable_lines import kept_corners, unique_names, without_repeats
from planner.units import Metre
from planner.wording import few_of

APART_M: Metre = 100_000.0
"""Distance between two sources of one job above which their zone is doubted. [m] Common practice."""

_NAMED = 20
_ICSM = Source("ICSM, GDA2020 Technical Manual", place="transformation from GDA94")
_LIKE_GDA2020 = ("GDA2020", "WGS 84", "WGS 84 (CRS84)")


@dataclass(frozen=True)
class Survey:
    """What the sources of a job gave, in its working grid.

    Attributes:
        crs: Working grid, as an authority code or WKT.
        crs_name: Its name with datum.
        lines: Lines that can be used, no two of one name.
        points: Points that can be used.
        findings: What was wrong, what was mended, what was left out: the readings' own troubles first.
        notes: How the grid was chosen and how well the datums are known, one sentence each.
    """

    crs: str
    crs_name: str
    lines: tuple[MeasuredLine, ...]
    points: tuple[MeasuredPoint, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]


def into_grid(
        readings: Sequence[Reading], *, grid: str = "", stated: str = "", allow_ballpark: bool = False) -> Survey:
    """All lines and points of some sources in one working grid.

    What cannot be used becomes a finding and is left out; all else stays, with its levels and times.

    Args:
        readings: What each file gave.
        grid: The job's working grid, code or WKT; empty to take the sources' own or the one that suits the ground.
        stated: Coordinate system of the sources that state none, and the datum of those that leave it open.
        allow_ballpark: Takes datum operations of unknown accuracy where there are no others.

    Raises:
        GridTrouble: A source states no coordinate system and none is said; a datum cannot be reached with known
            accuracy; the grid cannot be measured in.
        NothingToPlan: No grid is given, and there is no position to choose one by.
    """
    spoken = [_spoken(reading, stated) for reading in readings]
    checked = [_checked(reading) for reading in spoken]
    found = [finding for _, findings in checked for finding in findings]
    sound = [reading for reading, _ in checked]
    notes = list(dict.fromkeys(note for reading in spoken for note in reading.notes))
    if not grid:
        grid, why = _chosen(sound, found)
        notes.append(f"The working grid is {grid_name(grid)}: {why}.")
    elif why_not := usable_as_grid(grid):
        raise GridTrouble(why_not, remedy="choose a working grid that counts metres east and north")
    lines: list[MeasuredLine] = []
    points: list[MeasuredPoint] = []
    for reading in sound:
        brought = _brought(reading, grid, allow_ballpark)
        lines += brought.lines
        points += brought.points
        found += brought.troubles
        notes += brought.notes
    lines, renamed = unique_names(lines)
    found += [*renamed, *_mixed_datums(sound), *_far_apart(lines, points)]
    return Survey(grid, grid_name(grid), tuple(lines), tuple(points), tuple(found), tuple(dict.fromkeys(notes)))


def _spoken(reading: Reading, stated: str) -> Reading:
    """The reading with its coordinate system: its own, or the one a person said."""
    if not (reading.lines or reading.points):
        return reading
    if not reading.crs:
        if not stated:
            positions = _positions(reading)
            like = looks_like(positions)
            raise GridTrouble("no coordinate system is stated" + (f" ({like})" if like else ""), where=reading.file,
                              remedy="say --crs with a code; "
                                     + told_fitting(fitting(positions), positions, inside=True))
        note = f"{reading.file} states no coordinate system; it was taken as said: {grid_name(stated)}."
        return replace(reading, crs=stated, notes=(*reading.notes, note))
    own = system(reading.crs)
    if not own.datum and stated and system(stated).datum and is_same_but_datum(own, system(stated)):
        note = f"{reading.file} does not state its datum; it was taken as said: {lonlat_datum(stated)}."
        return replace(reading, crs=stated, notes=(*reading.notes, note))
    return reading


def _checked(reading: Reading) -> tuple[Reading, list[Finding]]:
    """The reading without what cannot be where it says, and the findings: its own troubles, then what was found."""
    found = list(reading.troubles)
    positions = _positions(reading)
    if len(positions) == 0:
        return reading, found
    if not system(reading.crs).datum:
        found.append(Finding(
            "survey-26", "warning", "The file does not state its datum; lines may lie 2 m off, or 200 m where it is an "
            "old one.", "Ask whoever made the file, and say --crs.", Place(file=reading.file)))
    rows = _rows(reading)
    lost, stops = np.zeros(len(positions), dtype=bool), np.zeros(len(positions), dtype=bool)
    for fault in position_faults(positions, reading.crs):
        found.append(as_finding(fault, file=reading.file, rows=rows))
        lost |= fault.where & (fault.loses != "nothing")
        stops |= fault.where & (fault.loses == "line")
    lines = []
    for line, (start, end) in zip(reading.lines, _spans(reading), strict=True):
        kept, said = _sound_line(line, lost[start:end], bool(stops[start:end].any()), reading.crs)
        lines += [kept] if kept else []
        found += said
    jumped = {(f.place.line, f.place.row) for f in found if f.rule == "survey-07"}
    found = [f for f in found if f.rule != "survey-65" or (f.place.line, f.place.row) not in jumped]
    first = len(positions) - len(reading.points)
    points = tuple(point for point, gone in zip(reading.points, lost[first:].tolist(), strict=True) if not gone)
    found += _points_left_out(reading, lost[first:])
    return replace(reading, lines=tuple(lines), points=points), found


def _sound_line(line: MeasuredLine, lost: Booleans, stops: bool, crs: str) -> tuple[MeasuredLine | None, list[Finding]]:
    place = Place(line=line.name, file=line.file, row=line.row)
    if stops:
        return None, [Finding("survey-20", "error", f"Line '{line.name}' was left out, because "
                              f"{int(lost.sum())} of its {len(line.xy)} corners cannot be used.",
                              "Mend those corners in the source and read it again.", place)]
    kept = kept_corners(line, lost)
    if kept is None:
        return None, [Finding("survey-21", "warning", f"Line '{line.name}' was left out, because fewer than two of its "
                              "corners can be used.", "Draw or walk it again if it is wanted.", place)]
    jump = jump_of(kept.xy, crs)
    return (None, [jump_finding(jump, place)]) if jump else (kept, [])


def _chosen(readings: Sequence[Reading], found: Sequence[Finding]) -> tuple[str, str]:
    """The working grid of a new job and why: the grid that most positions came in, else the one that suits them."""
    placed = [reading for reading in readings if reading.lines or reading.points]
    if not placed:
        # an error says why; else what was left out does, and not what was mended before that
        reasons = [f for f in found if f.severity == "error"] or [f for f in found if "left out" in f.message]
        why = [*reasons, *found][0].message if found else (
            "give a file with tracks, routes, lines, polygons or points")
        raise NothingToPlan("there is no position that can be used", where=", ".join(r.file for r in readings),
                            remedy=why.rstrip("."))
    sizes: dict[str, int] = {}
    for reading in placed:
        if not usable_as_grid(reading.crs):
            sizes[reading.crs] = sizes.get(reading.crs, 0) + len(_positions(reading))
    own = max(sizes, key=lambda crs: (bool(system(crs).datum), sizes[crs])) if sizes else placed[0].crs
    lonlat = np.concatenate([to_lonlat(_positions(reading), reading.crs) for reading in placed])
    choice = suggest_grid(lonlat, stated=own)
    return choice.crs, choice.reason


def _brought(reading: Reading, grid: str, allow_ballpark: bool) -> Reading:
    """The reading in the working grid; its troubles and notes are those of bringing it there."""
    positions = _positions(reading)
    if len(positions) == 0:
        return replace(reading, crs=grid, troubles=(), notes=())
    try:
        brought = carry(positions, source=reading.crs, target=grid, allow_ballpark=allow_ballpark)
    except GridTrouble as trouble:
        raise GridTrouble(trouble.what, where=reading.file, remedy=trouble.remedy) from trouble
    found: list[Finding] = []
    lines = []
    if brought.accuracy_m is None:
        found.append(Finding("survey-25", "warning", brought.notes[0], "Do not rely on where these lines lie.",
                             Place(file=reading.file)))
    for line, (start, end) in zip(reading.lines, _spans(reading), strict=True):
        kept, said = _line_in_grid(line, brought.xy[start:end], grid)
        lines += [kept] if kept else []
        found += said
    placed = brought.xy[len(positions) - len(reading.points):]
    finite: Booleans = np.isfinite(placed[:, 0]) & np.isfinite(placed[:, 1])
    found += _points_left_out(reading, ~finite)
    points = tuple(replace(point, x=float(x), y=float(y)) for point, (x, y), good in zip(
        reading.points, placed, finite, strict=True) if good)
    return replace(reading, crs=grid, lines=tuple(lines), points=points, troubles=tuple(found), notes=brought.notes)


def _points_left_out(reading: Reading, gone: Booleans) -> list[Finding]:
    lost = [point for point, left_out in zip(reading.points, gone.tolist(), strict=True) if left_out]
    if not lost:
        return []
    named = few_of([f"'{point.name}' in row {point.row}" for point in lost], most=_NAMED)
    count = "1 point was" if len(lost) == 1 else f"{len(lost)} points were"
    return [Finding("survey-23", "error", f"{count} left out: {named}.", "Check their positions in the source.",
                    Place(file=reading.file, row=lost[0].row))]


def _line_in_grid(line: MeasuredLine, xy: Floats, grid: str) -> tuple[MeasuredLine | None, list[Finding]]:
    lost = int((~np.isfinite(xy).all(axis=1)).sum())
    if lost:
        return None, [Finding("survey-20", "error", f"Line '{line.name}' was left out, because {lost} of its {len(xy)} "
                              f"corners have no place in {grid_name(grid)}.", "Check its positions and the grid.",
                              Place(line=line.name, file=line.file, row=line.row))]
    return without_repeats(replace(line, xy=frozen(xy)))


def _mixed_datums(readings: Sequence[Reading]) -> Iterator[Finding]:
    placed = [reading for reading in readings if reading.lines or reading.points]
    datums = {reading.file: lonlat_datum(reading.crs) for reading in placed}
    older = [file for file, datum in datums.items() if datum == "GDA94"]
    newer = [file for file, datum in datums.items() if datum in _LIKE_GDA2020]
    if not older or not newer:
        return
    reading = next(reading for reading in placed if reading.file == older[0])
    middle = to_lonlat(_positions(reading), reading.crs).mean(axis=0)
    moved = carry(middle[None, :], source="EPSG:4283", target="EPSG:7844").xy[0]
    east, north = (moved - middle) * 111_195.0 * np.array([np.cos(np.radians(middle[1])), 1.0])
    both = " and ".join(sorted({datums[file] for file in newer}))
    meant = " A file that says WGS 84 may mean either." if any(datums[f].startswith("WGS") for f in newer) else ""
    yield Finding(
        "survey-24", "warning", f"The job mixes GDA94 ({', '.join(older)}) with {both} ({', '.join(newer)}): the two "
        f"are 1.5 to 1.8 m apart across Australia, {float(np.hypot(east, north)):.2f} m here.{meant}",
        "Check on a mark known in both that the lines meet, before any peg goes in.", Place(file=older[0]), _ICSM)


def _far_apart(lines: Sequence[MeasuredLine], points: Sequence[MeasuredPoint]) -> Iterator[Finding]:
    by_file: dict[str, list[Floats]] = {}
    for line in lines:
        by_file.setdefault(line.file, []).append(line.xy)
    for point in points:
        by_file.setdefault(point.file, []).append(np.array([[point.x, point.y]]))
    middles = {file: np.median(np.concatenate(parts), axis=0) for file, parts in by_file.items()}
    for file, here in middles.items():
        away = [float(np.hypot(*(here - there))) for other, there in middles.items() if other != file]
        if away and min(away) > APART_M:
            yield Finding(
                "survey-28", "warning", f"This source lies {min(away) / 1000:,.0f} km from the nearest other one.",
                "Check its zone and coordinate system: a neighbouring six-degree zone moves it by 500 km or so.",
                Place(file=file))


def _positions(reading: Reading) -> Floats:
    """Corners of all lines, then all points. Shape (n, 2)."""
    points = np.array([(point.x, point.y) for point in reading.points], dtype=float).reshape(-1, 2)
    return np.concatenate([*(line.xy[:, :2] for line in reading.lines), points])


def _spans(reading: Reading) -> Iterator[tuple[int, int]]:
    start = 0
    for line in reading.lines:
        yield start, start + len(line.xy)
        start += len(line.xy)


def _rows(reading: Reading) -> Integers:
    return np.concatenate([*(np.full(len(line.xy), line.row, dtype=np.int64) for line in reading.lines),
                           np.array([point.row for point in reading.points], dtype=np.int64)])
