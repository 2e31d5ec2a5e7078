"""Fences on and across boundaries: on which side they stand, as far as both are known."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
import shapely

from planner.alignment.corner_accuracy import corner_sd
from planner.findings import Finding, Place
from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages
from planner.settings import Settings
from planner.sources import COMMON_PRACTICE, Source
from planner.surroundings.along import (
    Spans,
    course_parts,
    directions,
    length_of,
    runs_of,
    samples,
    spans_in,
    spot,
)
from planner.surroundings.situation import Planned, Situation, chainage_at
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.units import Metre
from planner.wording import counted, few_listed

RULES = {
    "boundary-01": "a fence does not stand on the other side of a boundary",
    "boundary-02": "a fence along a boundary stands provably on its own side",
    "boundary-03": "a fence does not go across a boundary",
    "boundary-04": "it is known on which side of a boundary own land lies",
}
ALONG_DEG = 20.0
"""A fence that turns less than this from a boundary runs along it. [deg] Common practice, no source."""
ALONG_M: Metre = 20.0
"""A shorter stretch is not told of as running along. [m] Common practice, no source."""
BESIDE_M: Metre = 5.0
"""A fence further off than what is uncertain and this is no fence of that boundary. [m] Common practice, no source."""
ON_IT_M: Metre = 0.3
"""Where both are known as well as this, a fence on the boundary is where it was agreed to be. [m] A post's width and
the swing of a string line; common practice, no source."""
MET_M: Metre = 1.0
"""A fence that ends as near to a boundary as this meets it and does not cross it. [m] Common practice, no source."""
_STEP_M = 2.5
_GAUSS = Source("propagation of variance (Gauss), errors independent and normal, one-sided", place="any textbook")


@dataclass(frozen=True, eq=False)
class _Edge:
    """A boundary as drawn, and the side of own land."""

    feature: Feature
    parts: Any
    curve: Any
    sd_m: Metre
    own: Any | None
    side: int


@dataclass(frozen=True, eq=False)
class _Beside:
    """How one line runs beside one boundary, place by place. Offsets are positive on own land; without a side all
    are."""

    planned: Planned
    edge: _Edge
    at: Floats
    off_m: Floats
    known_to_m: Floats
    along: Spans

    @property
    def has_side(self) -> bool:
        """Whether the side of own land is known."""
        return self.edge.own is not None or self.edge.side != 0

    def inside_runs(self) -> Any:
        """Which places lie in a stretch along the boundary. Shape (n,)."""
        return np.any([(self.at >= low) & (self.at <= high) for low, high in self.along], axis=0)


def check_boundaries(situation: Situation) -> list[Finding]:
    """On which side of boundaries fences stand, by how well both are known together.

    Args:
        situation: The situation.

    Source:
        Distances and sides: shapely. Combined standard deviation: the root of the sum of squares (Gauss); a side counts
        as proved when the distance is at least the one-sided normal quantile times that. Checked in
        tests/unit/surroundings/test_boundary_checks.py against scipy.
    """
    edges = _edges(situation)
    if not edges or not situation.lines:
        return []
    findings: list[Finding] = []
    unsided: dict[int, list[_Beside]] = {}
    told: dict[str, list[tuple[Metre, Metre]]] = {}
    pairs = list(_pairs(situation, edges))
    beyond: dict[int, list[Any]] = {}
    for one in pairs:
        if _stands_outside(one).any():
            beyond.setdefault(id(one.edge), []).append(shapely.LineString(one.planned.line.xy[:, :2]))
    for one in pairs:
        if one.along:
            findings += _side(one, situation, told.setdefault(one.planned.line.name, []))
            if not one.has_side and not _in_doubt(one).any():
                unsided.setdefault(id(one.edge), []).append(one)
        findings += _across(one, told.setdefault(one.planned.line.name, []), beyond.get(id(one.edge), []))
    return [*findings, *(_no_side(several) for several in unsided.values())]


def _edges(situation: Situation) -> list[_Edge]:
    """Boundaries; areas of own land side by side are one land, and the edge between them is no boundary."""
    known = situation.around.of("boundary")
    areas = [(f, s) for f, s in known if s.geom_type.endswith("Polygon")]
    said = [(f, s) for f, s in areas if choice_of(f, "inside") == "inside"]
    own = said or (areas if len(areas) == 1 else [])
    land = shapely.unary_union([s for _, s in own]) if own else None
    mine = {id(f) for f, _ in own}
    edges = []
    for feature, shape in known:
        curve = shapely.boundary(shape) if shape.geom_type.endswith("Polygon") else shape
        if id(feature) in mine and len(own) > 1:
            curve = shapely.intersection(curve, shapely.boundary(land))
        parts = course_parts(curve)
        if not len(parts):
            continue
        sd = number_of(feature, "sd")
        side = 0 if shape.geom_type.endswith("Polygon") else {"left": 1, "right": -1}.get(feature.fact("inside"), 0)
        edges.append(_Edge(feature, parts, shapely.multilinestrings(list(parts)),
                           situation.settings.sd_of(choice_of(feature, "accuracy")) if sd is None else sd,
                           land if id(feature) in mine else None, side))
    return edges


def _pairs(situation: Situation, edges: list[_Edge]) -> Iterator[_Beside]:
    settings = situation.settings
    quantile = NormalDist().inv_cdf(settings.boundary_confidence)
    sds = [corner_sd(planned.line, settings) for planned in situation.lines]
    worst = np.array([float(sd.max()) for sd in sds])
    curves = np.array([edge.curve for edge in edges], dtype=object)
    reach = quantile * np.hypot(worst.max(), [edge.sd_m for edge in edges]) + BESIDE_M
    which, number = shapely.STRtree(situation.shapes).query(curves, predicate="dwithin", distance=reach)
    known = quantile * np.hypot(worst[number], np.array([e.sd_m for e in edges])[which])
    near = shapely.distance(situation.shapes[number], curves[which]) <= known + BESIDE_M
    which, number = which[near], number[near]
    for k in np.lexsort((which, number)).tolist():
        n = int(number[k])
        yield _beside(situation.lines[n], situation.shapes[n], edges[int(which[k])], sds[n], quantile)


def _beside(planned: Planned, course: Any, edge: _Edge, sd: Floats, quantile: float) -> _Beside:
    at, points = samples(course, step_m=_STEP_M)
    known = quantile * np.hypot(np.interp(at, chainages(planned.line.xy), sd), edge.sd_m)
    foot, way, off = directions(edge.parts, points, within_m=known + BESIDE_M)
    xy = shapely.get_coordinates(points)
    if edge.own is not None:
        inside = np.where(shapely.covers(edge.own, points), 1.0, -1.0)
    elif edge.side:
        beyond = way[:, 0] * (xy[:, 1] - foot[:, 1]) - way[:, 1] * (xy[:, 0] - foot[:, 0])
        inside = np.where(edge.side * beyond >= 0.0, 1.0, -1.0)
    else:
        inside = np.ones(len(at))
    heading = np.gradient(xy, at, axis=0) if len(at) > 2 else np.repeat(np.diff(xy, axis=0), len(at), axis=0)
    heading = heading / np.maximum(np.hypot(heading[:, 0], heading[:, 1]), 1e-12)[:, None]
    holds = (np.abs((heading * way).sum(axis=1)) >= np.cos(np.radians(ALONG_DEG))) & (off <= known + BESIDE_M)
    least = min(ALONG_M, 0.5 * float(at[-1]))
    along = tuple((low, high) for low, high in runs_of(at, holds) if high - low >= least - 1e-9)
    return _Beside(planned, edge, at, inside * off, known, along)


def _in_doubt(one: _Beside) -> Any:
    return one.inside_runs() & (one.off_m < one.known_to_m - 1e-9)


def _stands_outside(one: _Beside) -> Any:
    return one.inside_runs() & (one.off_m < -one.known_to_m - 1e-9)


def _side(one: _Beside, situation: Situation, told: list[tuple[Metre, Metre]]) -> Iterator[Finding]:
    settings = situation.settings
    beyond = _stands_outside(one)
    if beyond.any():
        yield _stands_beyond(one, beyond, settings)
        return
    doubt = _in_doubt(one)
    doubt &= one.known_to_m > ON_IT_M
    about = one.edge.feature.name
    marked = any(c.kind == "boundary" and c.about in ("", about) and c.holds_on(situation.today)
                 for c in situation.clearances)
    if not doubt.any() or marked:
        return
    spans = runs_of(one.at, doubt)
    if not one.has_side and any(low < high_told and high > low_told for low, high in spans
                                for low_told, high_told in told):
        return  # the edge that two parcels share is told of once
    told += spans
    worst = int(np.argmin(np.where(doubt, one.off_m, np.inf)))
    off = float(one.off_m[worst])
    where = (f"{off:.1f} m off it" if not one.has_side else f"{off:.1f} m inside it" if off >= 0.05 else
             "on it" if off > -0.05 else f"{-off:.1f} m beyond it")
    yield Finding(
        "boundary-02", "warning",
        f"Runs along the boundary '{about}' for {length_of(one.planned, one.along):.0f} m, at the least {where} at "
        f"{chainage_at(one.planned, float(one.at[worst])):.1f} m; {_known(one, worst, settings)}: that it stands on "
        "own land cannot be proved.",
        "Have the boundary marked there by a licensed surveyor, or agree to the line in writing with the neighbour, "
        "before a post goes in.", spot(one.planned, float(one.at[worst])), _GAUSS)


def _stands_beyond(one: _Beside, beyond: Any, settings: Settings) -> Finding:
    spans = runs_of(one.at, beyond)
    worst = int(np.argmin(np.where(beyond, one.off_m, np.inf)))
    return Finding(
        "boundary-01", "error",
        f"Runs beyond the boundary '{one.edge.feature.name}' for about {length_of(one.planned, spans):.0f} m, by up to "
        f"{-one.off_m[worst]:.1f} m at {chainage_at(one.planned, float(one.at[worst])):.1f} m: it would stand on other "
        f"land. That is more than what is uncertain; {_known(one, worst, settings)}.",
        "Move the line back; to keep it there, have the boundary marked by a licensed surveyor and the other owner "
        "agree in writing.", spot(one.planned, float(one.at[worst])), _GAUSS)


def _known(one: _Beside, worst: int, settings: Settings) -> str:
    how = choice_of(one.edge.feature, "accuracy")
    stated = number_of(one.edge.feature, "sd") is not None
    return (f"the line ({_class(one.planned.line.accuracy)}) and the boundary "
            f"({f'standard deviation {one.edge.sd_m:g} m' if stated else _class(how)}) are known to "
            f"{one.known_to_m[worst]:.2g} m together at a chance of {100.0 * settings.boundary_confidence:.3g} %")


def _class(accuracy: str) -> str:
    return "accuracy not known" if accuracy == "unknown" else accuracy


def _across(one: _Beside, told: list[tuple[Metre, Metre]], beyond: list[Any]) -> Iterator[Finding]:
    """Places where a line goes on beyond a boundary that it does not run along.

    A line that only goes on to a fence that is told of as standing beyond moves back with that one.
    """
    (spans,) = spans_in([shapely.LineString(one.planned.line.xy[:, :2])], [one.edge.curve])
    spare = max(float(one.known_to_m.max()), MET_M)
    end, found = float(one.at[-1]), []
    for low, high in spans:
        at = (low + high) / 2.0
        ends_there = not one.planned.line.closed and (
            at <= spare or at >= end - spare or _meets_there(one, at, beyond))
        beside = any(a - spare <= at <= b + spare for a, b in one.along)
        known = any(abs(at - (a + b) / 2.0) <= MET_M and b - a < MET_M for a, b in told)
        if not (ends_there or beside or known) and _goes_on(one, at):
            found.append(at)
    if not found:
        return
    told += [(at - 0.1, at + 0.1) for at in found]
    places = [f"{chainage_at(one.planned, at):.1f} m" for at in found]
    sure = one.has_side
    yield Finding(
        "boundary-03", "warning" if sure else "note",
        f"Crosses the boundary '{one.edge.feature.name}' at {few_listed(places)}"
        + (": part of it would stand on other land." if sure else "."),
        "End the line at the boundary, or agree in writing with the owner of the other side." if sure else
        "Check that both sides are own land; else end the line there.", spot(one.planned, found[0]), COMMON_PRACTICE)


def _meets_there(one: _Beside, at: Metre, beyond: list[Any]) -> bool:
    """Whether a line ends, not far beyond a crossing, on one of the fences that stand beyond."""
    xy, length = one.planned.line.xy, float(one.at[-1])
    ends = [xy[k, :2] for k, way in ((0, at), (-1, length - at)) if way <= float(one.known_to_m.max()) + BESIDE_M]
    return any(shapely.dwithin(shapely.Point(end), fence, MET_M) for end in ends for fence in beyond)


def _goes_on(one: _Beside, at: Metre) -> bool:
    """True where a line changes sides; one that touches from inside and turns back does not cross."""
    if one.edge.own is None:
        return True
    before, after = one.off_m[one.at < at - MET_M], one.off_m[one.at > at + MET_M]
    return bool(len(before) and len(after) and (before[-1] < 0) != (after[0] < 0))


def _no_side(several: list[_Beside]) -> Finding:
    names = list(dict.fromkeys(one.planned.line.name for one in several))
    first = several[0]
    point = shapely.line_interpolate_point(first.edge.parts[0], 0.5, normalized=True)
    many = len(names) > 1
    return Finding(
        "boundary-04", "note",
        f"The boundary '{first.edge.feature.name}': {counted(len(names), 'line')} ({few_listed(names)}) "
        f"{'run' if many else 'runs'} along it, and nothing says on which side of it own land lies, so a fence on the "
        "other side would not be seen.",
        "Say of the boundary on which side own land lies: left or right as it was drawn, or inside an area.",
        Place(x=round(float(point.x), 2), y=round(float(point.y), 2)), COMMON_PRACTICE)
