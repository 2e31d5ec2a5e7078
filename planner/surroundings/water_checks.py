"""Fences at water: crossings that are missing, crossings askew to the flow, set-backs from the bank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely
import shapely.ops

from planner.findings import Finding
from planner.geometry.arrays import Floats
from planner.geometry.lines import nearest_on
from planner.sources import COMMON_PRACTICE
from planner.surroundings.along import (
    SAME_M,
    Meeting,
    Spans,
    course_parts,
    directions,
    length_of,
    meetings,
    named,
    runs_of,
    samples,
    spans_in,
    spot,
    with_distances,
)
from planner.surroundings.crossing_places import Proposed, crossings_at
from planner.surroundings.situation import Situation, chainage_at
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.units import Degree, Metre

RULES = {
    "water-01": "a line that meets water has a crossing there",
    "water-02": "a crossing lies square to the flow",
    "water-03": "a line keeps the set-back that is asked for from the bank",
}
SLACK_M: Metre = 1e-3
"""What is short of a set-back by less than this is the set-back itself: drawn corners are rounded to the millimetre."""
FLAT_M: Metre = 0.1
"""Where the levels show less than this from bank to bed they show no bed. [m] Common practice, no source."""
_STEP_M = 1.0
_CROSSING_LENGTHS = 3.0
_TOLD_M = 0.1
_ENDS_ON_M: Metre = 0.5
_Breach = tuple[Meeting, Floats, Floats, list[tuple[Metre, Metre]], Metre]
"""A line too near water: the two, places along it, how far each is off, stretches that are too near, what is asked."""


def check_water(situation: Situation) -> list[Finding]:
    """Missing crossings, crossings askew to the flow, and set-backs, once for each line and water or place.

    A span is strained by itself between its own anchors by construction, so that is not asked for here; the check
    of sections says where a span is too long.

    Args:
        situation: The situation.

    Source:
        A crossing by itself between its own anchors: NSW DPI Primefact 681 (2009). 30 deg off square: common practice,
        no source. Distances: shapely.
    """
    met = meetings(situation, "water", lambda _: 0.0)
    spans = spans_in([one.course for one in met], [one.shape for one in met])
    findings: list[Finding] = []
    for one, where in zip(met, spans, strict=True):
        findings += [_no_crossing(one, found)
                     for found in crossings_at(one.planned.line, where, one.feature, one.planned.ground)]
        findings += _askew(one, where, situation.settings.flow_angle_deg)
    return [*findings, *_setbacks(situation)]


def _no_crossing(one: Meeting, found: Proposed) -> Finding:
    span = f"{'a span of' if found.is_measured else 'perhaps a span of'} {found.span_m:.0f} m"
    depth = "" if found.depth_m is None or found.depth_m < FLAT_M else (
        f", its bed {found.depth_m:.1f} m below the straight between anchors, banks up to {found.slope_deg or 0.0:.0f} "
        "deg")
    guess = "" if found.is_measured else "; its width is not known, so measure it"
    return Finding(
        "water-01", "warning", f"Meets the {named(one.feature, 'water')} at "
        f"{chainage_at(one.planned, found.at_m):.1f} m without a crossing.",
        f"Place a crossing there: {span}{depth}{guess}; or end the line on both banks.",
        spot(one.planned, found.at_m), COMMON_PRACTICE)


def off_square_deg(course: Any, at_m: Metre, parts: Any) -> Degree:
    """How far a line is off square to a watercourse where it meets it. [deg]

    Args:
        course: The line.
        at_m: Grid distance of the place along it. [m]
        parts: Lines that the watercourse is drawn with.
    """
    heading, flow = headings(course, at_m, parts)
    return float(np.degrees(np.arcsin(np.clip(abs(float(heading @ flow)), 0.0, 1.0))))


def headings(course: Any, at_m: Metre, parts: Any) -> tuple[Floats, Floats]:
    """Directions of a line, and of a watercourse as it was drawn, where they meet. Unit vectors, shape (2,).

    Args:
        course: The line.
        at_m: Grid distance of the place along it. [m]
        parts: Lines that the watercourse is drawn with.
    """
    low, high = (shapely.get_coordinates(shapely.line_interpolate_point(course, at))[0]
                 for at in (max(at_m - 1.0, 0.0), min(at_m + 1.0, float(shapely.length(course)))))
    _, way, _ = directions(parts, np.array([shapely.line_interpolate_point(course, at_m)]), reach_m=2.0)
    return (high - low) / max(float(np.hypot(*(high - low))), 1e-12), way[0]


def _askew(one: Meeting, spans: Spans, limit: Degree) -> Iterator[Finding]:
    """An area does not tell which way its water flows."""
    parts = course_parts(one.shape)
    if one.shape.geom_type.endswith("Polygon") or not len(parts) or not spans:
        return
    length = float(shapely.length(one.course))
    found = [(off_square_deg(one.course, (low + high) / 2.0, parts), (low + high) / 2.0) for low, high in spans
             if one.planned.line.closed or 1.0 < (low + high) / 2.0 < length - 1.0]
    worst, at = max(found, default=(0.0, 0.0))
    if worst > limit + 1e-6:
        more = sum(angle > limit + 1e-6 for angle, _ in found) - 1
        also = f", and at {more} other {'place' if more == 1 else 'places'}" if more else ""
        yield Finding(
            "water-02", "warning",
            f"Crosses the {named(one.feature, 'water')} at {chainage_at(one.planned, at):.1f} m {worst:.0f} deg "
            f"off square to the flow{also}, over {limit:g}: debris gathers along it and pushes it over.",
            "Turn the line so that it crosses square, or move the crossing to where it can.",
            spot(one.planned, at), COMMON_PRACTICE)


# set-back


def half_width_m(feature: Feature) -> Metre:
    """How far the bank top lies from water as it was drawn; 0 where the bank or the edge itself was drawn. [m]

    Args:
        feature: The water.
    """
    if choice_of(feature, "part") != "centreline":
        return 0.0
    return (number_of(feature, "width") or 0.0) / 2.0


def _asked_m(feature: Feature, situation: Situation) -> Metre:
    own = number_of(feature, "setback")
    return situation.settings.setback_m if own is None else own


def _half(one: Meeting) -> Metre:
    return 0.0 if one.shape.geom_type.endswith("Polygon") else half_width_m(one.feature)


def _setbacks(situation: Situation) -> Iterator[Finding]:
    def reach(feature: Feature) -> Metre:
        asked = _asked_m(feature, situation)
        return asked + half_width_m(feature) if asked > 0.0 else -1.0

    found: list[_Breach] = []
    beside: dict[int, list[_Breach]] = {}
    for one, away in with_distances(meetings(situation, "water", reach)):
        asked, half = _asked_m(one.feature, situation), _half(one)
        if away - half >= asked - SLACK_M:
            continue
        at, points = samples(one.course, step_m=_STEP_M)
        off = _distances(points, one.shape, within_m=2.0 * asked + half) - half
        near = [(low, high) for low, high in runs_of(at, off < asked - SLACK_M)
                if not _is_way_over(one, low, high, asked, half)]
        if near:
            found.append((one, at, off, near, asked))
            beside.setdefault(id(one.feature), []).append(found[-1])
    for breach in found:
        if not _ends_on_another(breach, beside[id(breach[0].feature)]):
            yield _too_near(*breach)


def _distances(points: Any, shape: Any, *, within_m: Metre) -> Floats:
    """How far each point is from a shape; infinite for those that are farther than what is asked about. [m]"""
    xy, (west, south, east, north) = shapely.get_coordinates(points), shapely.bounds(shape)
    low, high = np.array([west, south]) - within_m, np.array([east, north]) + within_m
    near, off = ((xy >= low) & (xy <= high)).all(axis=1), np.full(len(xy), np.inf)
    off[near] = shapely.distance(points[near], shape)
    return off


def _ends_on_another(breach: _Breach, beside: Sequence[_Breach]) -> bool:
    """Whether a line is too near only where it ends on a fence that runs too near for longer, and moves with that.

    Among those beside the same water.
    """
    one, at, _, near, asked = breach
    if one.planned.line.closed:
        return False
    ends = [one.planned.line.xy[-1 if low > 0.0 else 0, :2] for low, high in near
            if high - low <= _CROSSING_LENGTHS * asked and (low <= SAME_M or high >= float(at[-1]) - SAME_M)]
    return len(ends) == len(near) and all(any(
        other is not one and _long(others) > _long(near)
        and shapely.dwithin(shapely.Point(end), other.course, _ENDS_ON_M) for other, _, _, others, _ in beside)
        for end in ends)


def _long(spans: Sequence[tuple[Metre, Metre]]) -> Metre:
    return sum(high - low for low, high in spans)


def _is_way_over(one: Meeting, low: Metre, high: Metre, asked: Metre, half: Metre) -> bool:
    """A stretch that goes to the water to cross it or to end at it cannot keep a set-back; one along it can."""
    if high - low > _CROSSING_LENGTHS * asked + 2.0 * half + _width(one):
        return False
    part = shapely.ops.substring(one.course, low, high)
    over = [nearest_on(one.planned.line.xy, (crossing.x, crossing.y))[0] for crossing in one.planned.line.crossings]
    return any(low <= at <= high for at in over) or bool(shapely.distance(part, one.shape) <= half + SLACK_M)


def _width(one: Meeting) -> Metre:
    return float(shapely.length(shapely.intersection(one.course, one.shape)))


def _too_near(one: Meeting, at: Floats, off: Floats, near: list[tuple[Metre, Metre]], asked: Metre) -> Finding:
    inside = np.any([(at >= low) & (at <= high) for low, high in near], axis=0)
    worst = int(np.argmin(np.where(inside, off, np.inf)))
    beside = off[(off < 2.0 * asked) & (inside | (off >= asked - SLACK_M))]
    low, least = max(float(np.percentile(beside, 5.0)), 0.0), max(float(off[worst]), 0.0)
    twentieth = f"; a twentieth of what runs beside it lies within {low:.1f} m" if low >= least + _TOLD_M else ""
    return Finding(
        "water-03", "warning", f"Comes within {least:.1f} m of the {_bank(one)} at "
        f"{chainage_at(one.planned, float(at[worst])):.1f} m, nearer than the set-back of {asked:g} m asked for along "
        f"{max(length_of(one.planned, near), 1.0):.0f} m{twentieth}.",
        "Move the line back there, or have whoever asks for the set-back agree in writing.",
        spot(one.planned, float(at[worst])), COMMON_PRACTICE)


def _bank(one: Meeting) -> str:
    water = named(one.feature, "water")
    if one.shape.geom_type.endswith("Polygon") or choice_of(one.feature, "part") == "edge":
        return f"edge of the {water}, its bank top not being known,"
    if choice_of(one.feature, "part") == "bank top":
        return f"bank top of the {water}"
    if number_of(one.feature, "width") is None:
        return f"middle of the {water}, the width between its banks not being known,"
    return f"bank top of the {water}"
