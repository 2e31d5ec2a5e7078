"""``strainwright traverse``: bearings and distances run into a fence line, with misclose and suspect leg."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from planner.alignment.line import FenceLine
from planner.commands.check import told
from planner.commands.drawn_lines import position_of, save_with
from planner.commands.job_in_hand import fence_of, job_at
from planner.errors import FileTrouble, GridTrouble
from planner.files.job_file import state_of
from planner.files.readers.leg_table import read_legs
from planner.geometry.arrays import Floats, frozen
from planner.geometry.bearings import format_bearing
from planner.job.job import Job
from planner.job.noticed import with_noticed
from planner.survey.datum import grid_name, usable_as_grid
from planner.survey.fixes import MeasuredLine, Reading
from planner.survey.into_grid import into_grid
from planner.survey.traverse import CloseOn, TraverseResult, closes_on_start, traverse
from planner.survey.traverse_legs import LegTable
from planner.survey.traverse_suspects import GROSS_ACCURACY
from planner.units import HECTARE_M2

CAUTION = "transcribed, not a survey"
_NOTHING_M = 0.0005


def run(chosen: argparse.Namespace) -> int:
    """Runs a table of legs and adds the line to a new or an existing job.

    Args:
        chosen: Parsed words.

    Returns:
        0.

    Raises:
        PlannerError: A row, the start, the job or its grid cannot be used; the job stays as it was.
    """
    was = state_of(chosen.job)
    job = job_at(chosen.job)
    fence = fence_of(chosen.fence, job)
    table = read_legs(chosen.legs, unit=chosen.units, packed=chosen.packed_dms)
    _refuse_bad_rows(table, chosen.legs)
    result = _run(table, chosen)
    xy, closed = _ring(result)
    crs, placed, notes = _placed(job, xy, closed, chosen)
    named = chosen.name or chosen.legs.stem
    line = FenceLine(named, fence, placed, closed, chosen.accuracy or "unknown", origin=f"{chosen.legs}: {CAUTION}")
    summary = _summary(result, closed)
    job = job if job.crs else Job(job.name, crs, settings=job.settings, made_at=job.made_at)
    job = with_noticed(job, table.findings)
    saved = save_with(chosen.job, job, [line], grounds=chosen.ground, stated=chosen.crs,
                      notes=[*notes, f"{named}: {CAUTION}. {' '.join(summary)}"], quiet=chosen.quiet, was=was)
    if table.findings or saved.findings:
        print(told((*table.findings, *saved.findings)))
    print("\n".join((_legs_told(result), "", f"{named}: {CAUTION}.", *summary, *saved.told)))
    return 0


def _refuse_bad_rows(table: LegTable, path: Path) -> None:
    bad = [finding for finding in table.findings if finding.severity == "error"]
    if bad:
        rows = "; ".join((f"row {f.place.row}: " if f.place.row else "") + f.message.rstrip(".") for f in bad)
        raise FileTrouble(f"{len(bad)} {'row' if len(bad) == 1 else 'rows'} cannot be read ({rows})", where=str(path),
                          remedy="mend them; a leg that is missing moves all that follow")


def _run(table: LegTable, chosen: argparse.Namespace) -> TraverseResult:
    start = position_of(chosen.start, "--start")
    limits = {"arc_within_m": chosen.arc_within, "arc_step_m": chosen.arc_step}
    close_on: CloseOn = "start"
    if chosen.close not in ("", "start"):
        close_on = None if chosen.close == "none" else position_of(chosen.close, "--close")
    result = traverse(table.legs, start=start, close_on=close_on, adjust=False, **limits)
    if not chosen.close and not chosen.adjust and not closes_on_start(result):
        close_on = None
    return traverse(table.legs, start=start, close_on=close_on, adjust=chosen.adjust, **limits)


def _ring(result: TraverseResult) -> tuple[Floats, bool]:
    """Corners of the line, and whether it is a ring: one that nearly closes has its last corner put on its first."""
    if result.area_m2 is None or not (result.adjusted or (result.accuracy or 0.0) >= GROSS_ACCURACY):
        return result.corners, False
    return frozen(np.concatenate((result.corners[:-1], result.corners[:1]))), True


def _placed(job: Job, xy: Floats, closed: bool, chosen: argparse.Namespace) -> tuple[str, Floats, tuple[str, ...]]:
    """The job's grid, the corners in it, and how they got there."""
    crs = chosen.crs or job.crs
    if crs and (why := usable_as_grid(crs)):
        raise GridTrouble(why, where="--crs", remedy="name the grid that the start is given in")
    measured = MeasuredLine(chosen.legs.stem, xy, None, None, closed, "polyline", "unknown", str(chosen.legs), 1)
    survey = into_grid([Reading(str(chosen.legs), crs, (measured,))], grid=job.crs,
                       allow_ballpark=job.settings.allow_ballpark)
    if len(survey.lines) != 1:
        raise GridTrouble(survey.findings[0].message.rstrip(".") if survey.findings else "the line has no place there",
                          where="--start", remedy=f"give east and north in {grid_name(crs)}")
    return survey.crs, survey.lines[0].xy, survey.notes


def _summary(result: TraverseResult, closed: bool) -> list[str]:
    said = [f"{len(result.legs)} {'leg' if len(result.legs) == 1 else 'legs'}, {result.perimeter_m:,.3f} m; bearings "
            "taken as grid bearings, distances as grid distances."]
    if result.arc_departure_m:
        said.append(f"Arcs are drawn as chords, at most {result.arc_departure_m:.3f} m off.")
    if result.misclose_m is None:
        said.append("It does not return to its start and is taken as open: nothing checks its legs.")
        return said
    if result.misclose_m < _NOTHING_M:
        said.append("It closes to the millimetre.")
    towards = "" if result.misclose_bearing_deg is None else f" on {format_bearing(result.misclose_bearing_deg)}"
    share = "" if not result.misclose_m else f", 1:{result.accuracy:,.0f}"
    if result.misclose_m >= _NOTHING_M:
        said.append(f"Misclose {result.misclose_m:.3f} m{towards}{share}"
                    + (", shared out by the compass rule." if result.adjusted else "."))
    if result.hidden:
        said.append(result.hidden)
    if result.area_m2 is not None:
        said.append(f"Area {result.area_m2 / HECTARE_M2:,.4f} ha.")
        if closed and not result.adjusted and result.misclose_m >= _NOTHING_M:
            said.append("The last corner was put on the first.")
        if not closed:
            said.append(f"The misclose is worse than 1:{GROSS_ACCURACY:,.0f}, so the line is left open; look for the "
                        "wrong leg before it is used.")
    if (result.accuracy or 0.0) < GROSS_ACCURACY and not result.suspects:
        said.append("No single leg explains the misclose.")
    return [*said, *(suspect.message for suspect in result.suspects)]


def _legs_told(result: TraverseResult) -> str:
    rows: list[Sequence[str]] = [("leg", "bearing", "distance m", "departure m", "latitude m")]
    for number, (leg, bearing, east, north) in enumerate(zip(
            result.legs, result.bearings_deg, result.departures_m, result.latitudes_m, strict=True), 1):
        arc = f" arc, radius {leg.radius_m:.3f} m {'right' if leg.right else 'left'}" if leg.radius_m else ""
        rows.append((str(number), format_bearing(float(bearing)), f"{leg.distance_m:.3f}", f"{east:+.3f}",
                     f"{north:+.3f}" + arc))
    return "\n".join(f"{a:>4}  {b:>11}  {c:>11}  {d:>12}  {e}" for a, b, c, d, e in rows)
