"""Gates and crossings of a survey, each put on the line that it stands on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from planner.alignment.line import Crossing, FenceLine, Gate
from planner.findings import Finding, Place
from planner.geometry.lines import nearest_on, points_along
from planner.job.names import Names
from planner.settings import Settings
from planner.sources import COMMON_PRACTICE
from planner.survey.fixes import MeasuredPoint
from planner.units import Metre

_GATE_WIDTH_M, _SPAN_M = 4.2, 20.0
_OFF_LINE_M = 5.0
_ROUNDING_M = 1e-6


def with_openings(lines: Sequence[FenceLine], points: Sequence[MeasuredPoint], settings: Settings,
                  findings: list[Finding]) -> tuple[FenceLine, ...]:
    """Lines with the gates and crossings that stand on them; each goes to the nearest line, the first of equals.

    Args:
        lines: The lines, corners in the job's grid.
        points: Surveyed points; those coded ``gate`` or ``crossing`` count.
        settings: Standard deviation of the accuracy classes.
        findings: Told of those that stand on no line, and of those without a width.
    """
    found = list(lines)
    names = Names([*(gate.name for line in lines for gate in line.gates),
                   *(crossing.name for line in lines for crossing in line.crossings)])
    coded = [(point, kind) for point in points if (kind := _kind(point))]
    for (point, kind), near in zip(coded, _nearest_few(lines, [point for point, _ in coded]), strict=True):
        place = Place(x=point.x, y=point.y, file=point.file, row=point.row)
        offs = [nearest_on(found[k].xy, (point.x, point.y))[1] for k in near]
        nearest = near[int(np.argmin(offs))] if near else -1
        off = min(offs, default=np.inf)
        reach = max(_OFF_LINE_M, 2.0 * settings.sd_of(found[nearest].accuracy)) if near else 0.0
        if off > reach:
            away = f"{off:.1f} m from '{found[nearest].name}'" if near else "there is no line"
            findings.append(Finding("line-52", "warning", f"The {kind} '{point.name}' was left out: {away}, "
                                    f"and {reach:g} m is the most.", "Move it onto its line.", place))
            continue
        width = point.width_m
        if width is None:
            width = _GATE_WIDTH_M if kind == "gate" else _SPAN_M
            findings.append(Finding("line-53", "note", f"The {kind} '{point.name}' has no width in the survey; "
                                    f"{width:g} m is taken.", "Give its width.", place, COMMON_PRACTICE))
        found[nearest] = _opened(found[nearest], point, kind, name=names.own(point.name or kind), width=width)
    return tuple(found)


def _kind(point: MeasuredPoint) -> str:
    code = point.code.strip().lower()
    return next((kind for kind in ("gate", "crossing") if code.startswith(kind)), "")


def _nearest_few(lines: Sequence[FenceLine], points: Sequence[MeasuredPoint]) -> list[list[int]]:
    """For each point the numbers of the lines that are its nearest, in order: several where rounding may decide."""
    few: list[list[int]] = [[] for _ in points]
    if not lines or not points:
        return few
    tree = shapely.STRtree(shapely.linestrings(np.concatenate([line.xy[:, :2] for line in lines]),
                                               indices=np.repeat(np.arange(len(lines)), [len(n.xy) for n in lines])))
    places = shapely.points([(point.x, point.y) for point in points])
    (which, _), off = tree.query_nearest(places, all_matches=False, return_distance=True)
    pairs = tree.query(places[which], predicate="dwithin", distance=off + _ROUNDING_M).T
    for k, line in sorted(zip(which[pairs[:, 0]].tolist(), pairs[:, 1].tolist(), strict=True)):
        few[k].append(line)
    return few


def _opened(line: FenceLine, point: MeasuredPoint, kind: str, *, name: str, width: Metre) -> FenceLine:
    """The line with an opening at the foot of the surveyed point on it."""
    x, y = map(float, points_along(line.xy, np.array([nearest_on(line.xy, (point.x, point.y))[0]]))[0])
    if kind == "gate":
        return replace(line, gates=(*line.gates, Gate(name, x, y, width)))
    return replace(line, crossings=(*line.crossings, Crossing(name, x, y, width)))
