"""``strainwright setback``: the cheapest fence outside a set-back, added to a job beside the follow-the-edge line."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import shapely

from planner.alignment.line import FenceLine, Gate
from planner.alignment.setback_line import BASELINES, Baseline, SetbackLine, SetbackResult, setback_line
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
from planner.survey.feature_meanings import number_of, part_drawn
from planner.survey.fixes import Accuracy, MeasuredLine
from planner.survey.into_grid import Survey, into_grid
from planner.units import HECTARE_M2, Metre

_GATE_M: Metre = 4.2


@dataclass(frozen=True)
class _Edges:
    """What is to be kept clear of, in the job's grid, and what it says of itself.

    Attributes:
        name: Name of the one feature, or ``features``.
        shapes: Its shapes.
        accuracy: How well the first of them is known.
        source: File or words that tell where it is from.
        baseline: What was drawn.
        half_width_m: From a drawn centreline to the edge. [m]
        survey: What reading a file told; None for features of the job.
    """

    name: str
    shapes: list[Any]
    accuracy: Accuracy
    source: str
    baseline: Baseline
    half_width_m: Metre
    survey: Survey | None = None


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
    was = state_of(chosen.job)
    job = job_at(chosen.job)
    fence = fence_of(chosen.fence, job)
    edges = _of_job(job, chosen) if chosen.feature else _of_file(job, chosen)
    if edges.survey is not None:
        job = replace(job, crs=edges.survey.crs)
    with Watched(quiet=chosen.quiet) as progress:
        result = setback_line(
            edges.shapes, setback_m=chosen.distance, give_m=chosen.give, bank=chosen.bank, baseline=edges.baseline,
            half_width_m=edges.half_width_m, paddock=_paddock(job, chosen.paddock), corner_cost=chosen.corner_cost,
            metre_cost=chosen.metre_cost, land_cost_per_ha=chosen.land_cost, start=_place(chosen.start, "--start"),
            end=_place(chosen.end, "--end"), fineness=chosen.fineness, corner_deg=job.settings.corner_deg,
            openings_at_m=chosen.gate_at, progress=progress)
    lines = _lines(result, edges, fence, job)
    saved = save_with(chosen.job, job, lines, grounds=chosen.ground, stated=chosen.crs,
                      notes=[*(edges.survey.notes if edges.survey else ()), *_note(result, edges, chosen)],
                      quiet=chosen.quiet, was=was)
    found = (*(edges.survey.findings if edges.survey else ()), *saved.findings)
    if found:
        print(told(found))
    print("\n".join((_compared(result, saved.names), "", *_said(result, saved.names), *saved.told)))
    return 0


def _of_file(job: Job, chosen: argparse.Namespace) -> _Edges:
    """Lines and polygons of a file; what was drawn in it is asked, as it moves the line."""
    if chosen.features is None:
        raise NothingToPlan("nothing says what to stay clear of",
                            remedy="name a file with streams, lakes or vegetation, or say --feature with one of "
                            "the job's own")
    if not chosen.baseline:
        raise _unsaid("the file", str(chosen.features))
    survey = into_grid([read(chosen.features)], grid=job.crs, stated=chosen.crs,
                       allow_ballpark=job.settings.allow_ballpark)
    drawn = _named(survey, chosen.name, str(chosen.features))
    return _Edges(drawn[0].name if len(drawn) == 1 else "features", [_shape(line) for line in drawn],
                  drawn[0].accuracy, drawn[0].file, chosen.baseline, chosen.half_width or 0.0, survey)


def _of_job(job: Job, chosen: argparse.Namespace) -> _Edges:
    """Features of the job by name, with what they say of themselves: what was drawn, and the widest of their widths."""
    if chosen.features is not None or chosen.name:
        raise OutOfRange("both a file and features of the job are named", where="--feature",
                         remedy="leave the file and --name out, or leave --feature out")
    known = {feature.name: feature for feature in job.features
             if not shapely.from_wkt(feature.wkt).geom_type.endswith("Point")}
    for name in chosen.feature:
        if name not in known:
            some = ", ".join(f"'{other}'" for other in list(known)[:8])
            raise NothingToPlan(f"there is no line or area '{name}' among its features", where=str(chosen.job),
                                remedy=f"name one of {some}" if some else "read some in with 'strainwright features'")
    features = [known[name] for name in dict.fromkeys(chosen.feature)]
    said = chosen.baseline or part_drawn(features)
    baseline = next((one for one in BASELINES if one == said), None)
    if baseline is None:
        raise _unsaid(f"'{features[0].name}'", str(chosen.job))
    widths = [number_of(feature, "width") or 0.0 for feature in features]
    half = chosen.half_width if chosen.half_width is not None else (
        max(widths) / 2.0 if baseline == "centreline" else 0.0)
    return _Edges(features[0].name if len(features) == 1 else "features",
                  [shapely.from_wkt(feature.wkt) for feature in features], "traced",
                  features[0].origin or "the job's own features", baseline, half)


def _unsaid(drawn_in: str, where: str) -> OutOfRange:
    return OutOfRange(f"what is drawn in {drawn_in}, and the set-back counted from: the centreline, the water's edge "
                      "or the top of the bank?", where=where,
                      remedy="answer with --baseline centreline (and --half-width where it is counted from an edge "
                      "beside it), --baseline edge or --baseline bank-top")


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


def _lines(result: SetbackResult, edges: _Edges, fence: str, job: Job) -> list[FenceLine]:
    taken = {gate.name for line in job.lines for gate in line.gates}
    taken |= {crossing.name for line in job.lines for crossing in line.crossings}
    of = edges.name
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
        lines.append(FenceLine(name, fence, found.xy, found.closed, edges.accuracy, tuple(gates),
                               origin=f"set-back from {of}, {edges.source}"))
    return lines


def _note(result: SetbackResult, edges: _Edges, chosen: argparse.Namespace) -> list[str]:
    return [f"Set-back of {result.setback_m:g} m, give {result.give_m:g} m, counted from the {result.baseline}"
            + (f" and {edges.half_width_m:g} m beside it" if edges.half_width_m else "")
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
