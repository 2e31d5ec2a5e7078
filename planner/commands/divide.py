"""``strainwright divide``: a paddock into parts of equal or given areas, the division fences added to a job."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

from planner.alignment.division import Division, How, OffLane, Parallel, Radiating, divide_paddock
from planner.alignment.division_lane import middle_lane
from planner.alignment.line import FenceLine, Gate
from planner.commands.check import told
from planner.commands.drawn_lines import position_of, save_with
from planner.commands.job_in_hand import fence_of, job_at
from planner.errors import FileTrouble, NothingToPlan, OutOfRange
from planner.files.job_file import state_of
from planner.files.read import read
from planner.findings import Finding
from planner.geometry.bearings import format_bearing, parse_bearing
from planner.geometry.lines import nearest_on
from planner.job.edits.lines import free_name
from planner.job.job import Job
from planner.job.land_inside import grid_words, land_inside
from planner.survey.fixes import Accuracy, MeasuredLine
from planner.survey.into_grid import into_grid
from planner.units import HECTARE_M2, Metre
from planner.wording import few_of

_NEAR_M: Metre = 1.0
_WATER = ("trough", "water", "tank", "dam")


@dataclass(frozen=True)
class _Paddock:
    name: str
    land: shapely.Polygon
    accuracy: Accuracy
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    of_job: bool = False


def run(chosen: argparse.Namespace) -> int:
    """Divides a paddock from a file, or inside a closed line of the job, and saves the division fences.

    Args:
        chosen: Parsed words.

    Returns:
        0.

    Raises:
        PlannerError: The paddock, the areas, the lane or the job cannot be used; the job stays as it was.
    """
    was = state_of(chosen.job)
    job = job_at(chosen.job)
    fence = fence_of(chosen.fence, job)
    job, paddock = _paddock(job, chosen)
    areas = _areas(chosen.areas, chosen.parts)
    how = _how(chosen, job, paddock)
    waters, gates = _waters(job), _gates_on(job, paddock.land)
    parts = 2 if chosen.parts is None else chosen.parts
    division = divide_paddock(paddock.land, parts=parts, areas_ha=areas, how=how, waters=waters, gates=gates)
    lines = _lines(division, paddock, fence, job)
    saved = save_with(chosen.job, job, lines, grounds=chosen.ground, stated=chosen.crs,
                      notes=[*paddock.notes, f"{paddock.name} divided into {len(division.parts)} parts."],
                      quiet=chosen.quiet, was=was)
    found = (*paddock.findings, *saved.findings, *division.findings)
    if found:
        print(told(found))
    grid = grid_words(paddock.land, paddock.name, job)
    print("\n".join((_table(division), "", *_told(division, paddock), *([grid] if grid else []), *_inside(paddock),
                     *saved.told)))
    return 0


def _paddock(job: Job, chosen: argparse.Namespace) -> tuple[Job, _Paddock]:
    """The job, with a grid, and the paddock in it."""
    lines = {line.name: line for line in job.lines}
    if chosen.boundary in lines:
        line = lines[chosen.boundary]
        if not line.closed:
            raise OutOfRange("the line is not closed", where=f"'{line.name}'", remedy="name a closed line of the job")
        inside = land_inside(line, job.lines)
        return job, _Paddock(line.name, inside.shape, line.accuracy, notes=inside.words, of_job=True)
    path = Path(chosen.boundary)
    if not path.exists():
        closed = ", ".join(f"'{line.name}'" for line in job.lines if line.closed)
        raise FileTrouble("there is no such file, and no such line in the job", where=chosen.boundary,
                          remedy=f"name a file or one of {closed}" if closed else "name a file with the paddock")
    survey = into_grid([read(path)], grid=job.crs, stated=chosen.crs, allow_ballpark=job.settings.allow_ballpark)
    rings = _polygons(survey.lines)
    if chosen.name:
        rings = [ring for ring in rings if ring.name == chosen.name] or _nothing(
            f"there is no paddock '{chosen.name}' in it", chosen.boundary, rings)
    if len(rings) != 1:
        _nothing(f"there are {len(rings)} paddocks in it" if rings else "there is no closed ring in it",
                 chosen.boundary, rings)
    return replace(job, crs=survey.crs), replace(rings[0], findings=survey.findings, notes=survey.notes)


def _inside(paddock: _Paddock) -> tuple[str, ...]:
    """What was said of lines inside a line of the job; notes of a file go with the job only."""
    return paddock.notes if paddock.of_job else ()


def _nothing(what: str, where: str, rings: Sequence[_Paddock]) -> list[_Paddock]:
    some = few_of([f"'{ring.name}'" for ring in rings], most=8)
    raise NothingToPlan(what, where=where, remedy=f"say --name with one of {some}" if rings else
                        "give a file with the paddock as a polygon or a closed line")


def _polygons(lines: Sequence[MeasuredLine]) -> list[_Paddock]:
    """Closed lines as paddocks; rings of one row that lie inside another are its holes."""
    rings = [line for line in lines if len(line.xy) > 3 and (line.closed or bool((line.xy[0] == line.xy[-1]).all()))]
    lands = [shapely.Polygon(ring.xy[:, :2]) for ring in rings]
    inside: dict[int, list[int]] = {}
    for i, ring in enumerate(rings):
        outer = next((j for j, other in enumerate(rings) if j != i and (other.file, other.row) == (ring.file, ring.row)
                      and lands[j].area > lands[i].area and shapely.contains_properly(
                          lands[j], shapely.point_on_surface(lands[i]))), None)
        inside.setdefault(i if outer is None else outer, []).extend([] if outer is None else [i])
    return [_Paddock(rings[i].name, shapely.Polygon(rings[i].xy[:, :2], [rings[k].xy[:, :2] for k in holes]),
                     rings[i].accuracy) for i, holes in inside.items()]


def _areas(text: str, parts: int | None) -> list[float | None] | None:
    if not text:
        if parts is None:
            raise OutOfRange("nothing says into how many parts", remedy="say --parts N or --areas HA,HA,...")
        return None
    areas: list[float | None] = []
    for word in text.split(","):
        try:
            areas.append(None if word.strip().lower() == "rest" else float(word))
        except ValueError:
            raise OutOfRange(f"'{word.strip()}' is no area", where="--areas",
                             remedy="give hectares, and 'rest' for what is left: 5,7.5,rest") from None
    if parts is not None and parts != len(areas):
        raise OutOfRange(f"{len(areas)} areas are given for {parts} parts", where="--areas",
                         remedy="leave --parts out, or give an area for each; 'rest' takes what is left")
    return areas


def _how(chosen: argparse.Namespace, job: Job, paddock: _Paddock) -> How:
    bearing = _bearing(chosen.bearing)
    off_lane = chosen.lane_width is not None
    if not off_lane and (chosen.lane or chosen.left_parts is not None or chosen.lane_side != "centre"):
        raise OutOfRange("a lane without a width", where="--lane", remedy="say --lane-width with its metres")
    said = "--from-point" if chosen.from_point else "--from-feature"
    if (chosen.from_point or chosen.from_feature) and off_lane:
        raise OutOfRange("fences run either from a point or off a lane", remedy="leave one of the two out")
    if chosen.from_point and chosen.from_feature:
        raise OutOfRange("both a point and a feature are named", where="--from-feature",
                         remedy="leave one of the two out")
    if chosen.from_point or chosen.from_feature:
        x, y = (position_of(chosen.from_point, said) if chosen.from_point
                else _point_of(job, chosen.from_feature))
        size = float(np.hypot(*np.ptp(shapely.get_coordinates(paddock.land), axis=0)))
        away = float(shapely.distance(paddock.land, shapely.Point(x, y)))
        if away > 5.0 * size:
            raise OutOfRange(f"the point is {away / 1000.0:,.1f} km from the paddock", where=said,
                             remedy="give east and north in the job's grid" if chosen.from_point
                             else "name one that lies in the paddock or beside it")
        return Radiating(x, y, bearing)
    if not off_lane:
        return Parallel("best" if bearing is None else bearing)
    xy = middle_lane(paddock.land)
    if chosen.lane:
        line = next((line for line in job.lines if line.name == chosen.lane), None)
        if line is None:
            raise OutOfRange(f"there is no line '{chosen.lane}' in the job", where="--lane",
                             remedy="name a line of the job, or leave it out for a lane through the middle")
        xy = line.xy
    return OffLane(xy, chosen.lane_width, chosen.lane_side, chosen.left_parts, bearing)


def _point_of(job: Job, name: str) -> tuple[Metre, Metre]:
    """Where a point feature of the job stands."""
    points = {feature.name: shape for feature in job.features
              if (shape := shapely.from_wkt(feature.wkt)).geom_type == "Point"}
    if name not in points:
        some = ", ".join(f"'{other}'" for other in list(points)[:8])
        raise OutOfRange(f"there is no point '{name}' among the features of the job", where="--from-feature",
                         remedy=f"name one of {some}, or say --from-point" if some else "say --from-point with east "
                         "and north, or read points in with 'strainwright features'")
    return float(points[name].x), float(points[name].y)


def _bearing(text: str) -> float | None:
    if text.strip().lower() in ("", "best"):
        return None
    return parse_bearing(text)


def _waters(job: Job) -> dict[str, tuple[Metre, Metre]]:
    """Water points of a job: point features that are water or troughs, and surveyed points coded so."""
    found = {point.name: (point.x, point.y) for point in job.points if point.code.strip().lower().startswith(_WATER)}
    for feature in job.features:
        shape = shapely.from_wkt(feature.wkt)
        if feature.meaning in ("trough", "water") and shape.geom_type == "Point":
            found[feature.name] = (float(shape.x), float(shape.y))
    return found


def _gates_on(job: Job, land: shapely.Polygon) -> dict[str, tuple[Metre, Metre]]:
    edge = shapely.boundary(land)
    gates = [gate for line in job.lines for gate in line.gates]
    return {gate.name: (gate.x, gate.y) for gate in gates
            if shapely.dwithin(edge, shapely.Point(gate.x, gate.y), _NEAR_M)}


def _lines(division: Division, paddock: _Paddock, fence: str, job: Job) -> list[FenceLine]:
    """The new fences as lines of the job, the lane's with their gates."""
    taken = {gate.name for line in job.lines for gate in line.gates}
    taken |= {crossing.name for line in job.lines for crossing in line.crossings}
    lines: list[FenceLine] = []
    for number, xy in enumerate(division.fences):
        is_lane = number < division.lane_fences
        counted = number + 1 if is_lane else number + 1 - division.lane_fences
        name = f"{paddock.name} {'lane fence' if is_lane else 'division'} {counted}"
        lines.append(FenceLine(free_name(name, job), fence, xy, False, paddock.accuracy,
                               origin=f"division of {paddock.name}"))
    for gate in division.gates:
        offs = [nearest_on(line.xy, (gate.x, gate.y))[1] for line in lines[:division.lane_fences]]
        nearest = int(np.argmin(offs))
        lines[nearest] = replace(lines[nearest], gates=(*lines[nearest].gates, _free(gate, paddock.name, taken)))
    return lines


def _free(gate: Gate, paddock: str, taken: set[str]) -> Gate:
    name, number = f"{paddock} {gate.name}", 2
    while name in taken:
        name, number = f"{paddock} {gate.name} ({number})", number + 1
    taken.add(name)
    return replace(gate, name=name)


def _table(division: Division) -> str:
    rows: list[Sequence[str]] = [("part", "ha", "round m", "long:wide", "below 60°", "pieces", "water", "gates")]
    rows += [(str(part.number), f"{part.area_m2 / HECTARE_M2:.4f}", f"{part.perimeter_m:.1f}", f"{part.ratio:.2f}",
              str(part.acute_corners), str(part.pieces), ", ".join(part.waters) or "-", ", ".join(part.gates) or "-")
             for part in division.parts]
    wide = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return "\n".join("  ".join(cell.rjust(w) for cell, w in zip(row, wide, strict=True)).rstrip() for row in rows)


def _told(division: Division, paddock: _Paddock) -> list[str]:
    count = len(division.fences)
    said = [f"{paddock.name}: {paddock.land.area / HECTARE_M2:.4f} ha into {len(division.parts)} parts; new fence "
            f"{division.new_fence_m:,.1f} m on the grid in {count} {'line' if count == 1 else 'lines'}, shared fences "
            "counted once."]
    if division.bearing_deg is not None:
        said.append(f"Division fences on {format_bearing(division.bearing_deg)}"
                    + (" and clockwise from there." if division.from_point else "."))
    if division.lane is not None:
        said.append(f"The lane takes {division.lane.area / HECTARE_M2:.4f} ha; {len(division.gates)} gates were put "
                    "into its fences.")
    said += [f"A gate is wanted in the paddock's edge at {gate.x:.2f}, {gate.y:.2f}, where the lane ends."
             for gate in division.end_gates]
    return said
