"""``strainwright setback``: the cheapest fence outside a set-back, added to a job beside the follow-the-edge line."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import shapely

from planner.alignment.line import FenceLine, Gate
from planner.alignment.setback_line import SetbackLine, SetbackResult, setback_line
from planner.alignment.setback_report import table_of
from planner.commands.bar import Watched
from planner.commands.check import told
from planner.commands.drawn_lines import position_of, save_with
from planner.commands.job_in_hand import fence_of, job_at
from planner.errors import NothingToPlan, OutOfRange
from planner.files.job_file import state_of
from planner.files.read import read
from planner.job.edits.lines import free_name
from planner.job.job import Job
from planner.survey.fixes import MeasuredLine
from planner.survey.into_grid import Survey, into_grid
from planner.units import HECTARE_M2, Metre

_GATE_M: Metre = 4.2


def run(chosen: argparse.Namespace) -> int:
    """Finds the set-back lines of some features, adds them to the job, plans and saves it.

    Args:
        chosen: Parsed words.

    Returns:
        0.

    Raises:
        PlannerError: The baseline was not said, the features cannot be used, there is no way through the band, or the
            job cannot be used; it then stays as it was.
    """
    if not chosen.baseline:
        raise OutOfRange("what is drawn in the file, and the set-back counted from: the centreline, the water's edge "
                         "or the top of the bank?", where=str(chosen.features),
                         remedy="answer with --baseline centreline (and --half-width where it is counted from an edge "
                         "beside it), --baseline edge or --baseline bank-top")
    was = state_of(chosen.job)
    job = job_at(chosen.job)
    fence = fence_of(chosen.fence, job)
    survey = into_grid([read(chosen.features)], grid=job.crs, stated=chosen.crs,
                       allow_ballpark=job.settings.allow_ballpark)
    drawn = _named(survey, chosen.name, str(chosen.features))
    job = replace(job, crs=survey.crs)
    with Watched(quiet=chosen.quiet) as progress:
        result = setback_line(
            [_shape(line) for line in drawn], setback_m=chosen.distance, give_m=chosen.give, bank=chosen.bank,
            baseline=chosen.baseline, half_width_m=chosen.half_width, paddock=_paddock(job, chosen.paddock),
            corner_cost=chosen.corner_cost, metre_cost=chosen.metre_cost, land_cost_per_ha=chosen.land_cost,
            start=_place(chosen.start, "--start"), end=_place(chosen.end, "--end"), fineness=chosen.fineness,
            corner_deg=job.settings.corner_deg, openings_at_m=chosen.gate_at,
            progress=progress)
    lines = _lines(result, drawn, fence, job)
    saved = save_with(chosen.job, job, lines, grounds=chosen.ground, stated=chosen.crs,
                      notes=[*survey.notes, *_note(result, chosen)], quiet=chosen.quiet, was=was)
    if survey.findings or saved.findings:
        print(told((*survey.findings, *saved.findings)))
    print("\n".join((_compared(result, saved.names), "", *_said(result, saved.names), *saved.told)))
    return 0


def _named(survey: Survey, names: Sequence[str], file: str) -> list[MeasuredLine]:
    drawn = [line for line in survey.lines if not names or line.name in names]
    for name in names:
        if all(line.name != name for line in drawn):
            raise NothingToPlan(f"there is no feature '{name}' in it", where=file, remedy="name one of "
                                + ", ".join(f"'{line.name}'" for line in survey.lines[:8]))
    if not drawn:
        raise NothingToPlan("there is no line or polygon in it to stay clear of", where=file,
                            remedy="give streams, lakes or vegetation as lines or polygons")
    return drawn


def _shape(line: MeasuredLine) -> Any:
    ring = line.closed and len(line.xy) > 3
    return shapely.Polygon(line.xy[:, :2]) if ring else shapely.LineString(line.xy[:, :2])


def _paddock(job: Job, name: str) -> Any:
    if not name:
        return None
    line = next((line for line in job.lines if line.name == name), None)
    if line is None or not line.closed:
        closed = ", ".join(f"'{line.name}'" for line in job.lines if line.closed)
        raise OutOfRange(f"there is no closed line '{name}' in the job", where="--paddock",
                         remedy=f"use one of {closed}" if closed else "plan the paddock's boundary first")
    return shapely.Polygon(line.xy)


def _place(text: str, option: str) -> tuple[Metre, Metre] | None:
    return position_of(text, option) if text else None


def _lines(result: SetbackResult, drawn: Sequence[MeasuredLine], fence: str, job: Job) -> list[FenceLine]:
    taken = {gate.name for line in job.lines for gate in line.gates}
    taken |= {crossing.name for line in job.lines for crossing in line.crossings}
    of = drawn[0].name if len(drawn) == 1 else "features"
    lines: list[FenceLine] = []
    for found in result.lines:
        name = free_name(f"{of} {found.bank} set-back", replace(job, lines=(*job.lines, *lines)))
        gates = []
        for number, opening in enumerate(found.openings, 1):
            gate, again = f"{name} gate {number}", 2
            while gate in taken:
                gate, again = f"{name} gate {number} ({again})", again + 1
            taken.add(gate)
            gates.append(Gate(gate, opening.x, opening.y, _GATE_M))
        lines.append(FenceLine(name, fence, found.xy, found.closed, drawn[0].accuracy, tuple(gates),
                               origin=f"set-back from {of}, {drawn[0].file}"))
    return lines


def _note(result: SetbackResult, chosen: argparse.Namespace) -> list[str]:
    return [f"Set-back of {result.setback_m:g} m, give {result.give_m:g} m, counted from the {result.baseline}"
            + (f" and {chosen.half_width:g} m beside it" if chosen.half_width else "")
            + f"; corner {chosen.corner_cost:g}, metre {chosen.metre_cost:g}, hectare {chosen.land_cost:g}."]


def _compared(result: SetbackResult, names: Sequence[str]) -> str:
    rows = []
    for name, line in zip(names, result.lines, strict=True):
        rows.append((name, line.figures))
        if line.follow is not None:
            rows.append(("  following the edge", line.follow))
    return table_of(rows)


def _said(result: SetbackResult, names: Sequence[str]) -> list[str]:
    said = []
    for name, line in zip(names, result.lines, strict=True):
        said.append(_saving(name, line))
        fine = line.fineness
        proven = "proven to be the cheapest over them" if fine.proven else (
            f"no more than {fine.graph_cost - fine.bound:,.0f} dearer than the cheapest over them")
        said.append(f"{name}: searched over {fine.places} places, {fine.station_m:.1f} m apart along the edge in "
                    f"{len(fine.layers_m)} rows, and {fine.legs} legs; {proven}, its corners then moved to "
                    f"{fine.moved_to_m:.2f} m.")
        said += [f"{name}: the gate asked for at {opening.asked_m:.0f} m stands at chainage "
                 f"{opening.chainage_m:.1f} m, {opening.off_m:.1f} m away." for opening in line.openings]
    return said


def _saving(name: str, line: SetbackLine) -> str:
    if line.follow is None or line.saved is None:
        return f"{name}: no simplified edge stays in the band, so there is nothing to compare with."
    f, g = line.figures, line.follow
    return (f"{name}: {line.saved:,.0f} less than following the edge ({line.saved / max(g.cost, 1e-9):.0%}): "
            f"{g.corners - f.corners:+d} corners and {g.length_m - f.length_m:+.1f} m of fence saved, "
            f"{(f.excluded_m2 - g.excluded_m2) / HECTARE_M2:+.2f} ha more fenced off.")
