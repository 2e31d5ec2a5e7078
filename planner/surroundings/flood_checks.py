"""Fences where floods come: strains kept short, wires on the downstream side, no line along the creek."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely

from planner.alignment.line import Side
from planner.findings import Finding, Place
from planner.settings import Settings
from planner.sources import COMMON_PRACTICE, Source
from planner.surroundings.along import (
    Meeting,
    Spans,
    by_line,
    course_parts,
    directions,
    length_of,
    meetings,
    named,
    runs_of,
    samples,
    spans_in,
    spot,
    spot_at,
)
from planner.surroundings.situation import Planned, Situation, chainage_at
from planner.surroundings.water_checks import headings
from planner.survey.feature_meanings import choice_of
from planner.survey.features import Feature
from planner.units import Metre
from planner.wording import counted, few_listed

RULES = {
    "water-10": "strains where floods come are short",
    "water-11": "wires hang on the downstream side of their posts where water flows through the fence",
    "water-12": "a line does not run along a creek inside its flood extent",
    "water-13": "it is said on which side of their posts the wires hang where water flows through the fence",
}
BESIDE_WATER_M: Metre = 60.0
"""A line nearer than this to a creek runs along it where it keeps to its direction. [m] Common practice, no source."""
ALONG_DEG = 30.0
"""A line that turns less than this from the flow runs along it. [deg] Common practice, no source."""
ALONG_M: Metre = 50.0
"""A shorter stretch along a creek is not told of. [m] Common practice, no source."""
_IN_M = 1.0
_POPS_OFF = Source("NSW DPI Primefact 681", "2009", "posts stand upstream of the wires")


def check_floods(situation: Situation) -> list[Finding]:
    """Strains, sides of wires and lines along the creek inside flood extents.

    Args:
        situation: The situation.

    Source:
        Strains of 50 m where floods are frequent, 100 m where they come now and then: common practice, no source. Wires
        downstream of their posts: NSW DPI Primefact 681 (2009).
    """
    met = meetings(situation, "flood", lambda _: 0.0)
    spans = spans_in([one.course for one in met], [one.shape for one in met])
    wet = [(one, tuple(s for s in where if s[1] - s[0] > _IN_M)) for one, where in zip(met, spans, strict=True)]
    wet = [(one, where) for one, where in wet if where]
    found = [finding for one, where in wet
             for finding in (*_long_strains(one, where, situation.settings), *_along_creek(one, where, situation))]
    return [*found, *_sides(situation)]


def _limit_m(feature: Feature, settings: Settings) -> Metre | None:
    return {"high": settings.flood_strain_high_m, "medium": settings.flood_strain_medium_m}.get(
        choice_of(feature, "risk"))


def _long_strains(one: Meeting, spans: Spans, settings: Settings) -> Iterator[Finding]:
    limit = _limit_m(one.feature, settings)
    if limit is None:
        return
    at = [(chainage_at(one.planned, low), chainage_at(one.planned, high)) for low, high in spans]
    long = [s for s in one.planned.sections if not (s.is_gate or s.is_crossing) and s.plan_length_m > limit + 1e-6
            and any(min(high, s.to_m) - max(low, s.from_m) > _IN_M for low, high in at)]
    if not long:
        return
    worst = max(long, key=lambda s: s.plan_length_m)
    first = max(next(low for low, high in at if high > long[0].from_m), long[0].from_m)
    many = len(long) > 1
    yield Finding(
        "water-10", "warning", f"{counted(len(long), 'strain')} ({few_listed([s.id for s in long])}) "
        f"{'reach' if many else 'reaches'} into the {named(one.feature, 'flood extent')} "
        f"({choice_of(one.feature, 'risk')} risk) and {'are' if many else 'is'} longer than {limit:g} m, "
        f"{f'{worst.id} the longest with' if many else 'with'} {worst.plan_length_m:.0f} m: one flood takes all of it.",
        "End strains at both edges of the flood extent and every so often inside it, or move the line out of it.",
        spot_at(one.planned, first), COMMON_PRACTICE)


def _along_creek(one: Meeting, spans: Spans, situation: Situation) -> Iterator[Finding]:
    waters = situation.around.near(np.array([one.course], dtype=object), "water", within_m=BESIDE_WATER_M)
    if not waters:
        return
    at, points = samples(one.course, step_m=5.0)
    inside = np.any([(at >= low) & (at <= high) for low, high in spans], axis=0)
    xy = shapely.get_coordinates(points)
    heading = np.gradient(xy, at, axis=0) if len(at) > 2 else np.repeat(np.diff(xy, axis=0), len(at), axis=0)
    heading = heading / np.maximum(np.hypot(heading[:, 0], heading[:, 1]), 1e-12)[:, None]
    for _, water, shape in waters:
        parts = course_parts(shape)
        if not len(parts):
            continue
        _, way, off = directions(parts, points, reach_m=5.0, within_m=np.where(inside, BESIDE_WATER_M, -1.0))
        holds = inside & (off <= BESIDE_WATER_M) & (
            np.abs((heading * way).sum(axis=1)) > np.cos(np.radians(ALONG_DEG)))
        runs = runs_of(at, holds)
        metres = length_of(one.planned, runs)
        if metres >= ALONG_M - 1e-6:
            yield Finding(
                "water-12", "note", f"Runs along the {named(water, 'water')} for {metres:.0f} m inside the "
                f"{named(one.feature, 'flood extent')} ({choice_of(one.feature, 'risk')} risk), where every flood "
                "reaches it.", "Move it out of the flood extent where land allows, or build it to let go: few wires, "
                "short strains, no mesh.", spot(one.planned, runs[0][0]), COMMON_PRACTICE)
            return


def downstream(course: Any, at_m: Metre, parts: Any, flows: str) -> Side:
    """The side of a line to which water flows where the two meet; empty where it does not flow through it.

    Args:
        course: The line.
        at_m: Grid distance of the place along it. [m]
        parts: Lines that the watercourse is drawn with.
        flows: ``as drawn`` or ``against``.
    """
    heading, flow = headings(course, at_m, parts)
    to_left = float(heading[0] * flow[1] - heading[1] * flow[0]) * (-1.0 if flows == "against" else 1.0)
    return "" if abs(to_left) < 0.1 else "left" if to_left > 0 else "right"


def _sides(situation: Situation) -> Iterator[Finding]:
    """Where water that is known to flow one way goes through a fence, the wires belong behind the posts."""
    met = [one for one in meetings(situation, "water", lambda f: 0.0 if choice_of(f, "flows") else -1.0)
           if not one.shape.geom_type.endswith("Polygon")]
    not_said: list[tuple[Planned, Place]] = []
    for planned, mine in by_line(met):
        wanted = list(_wanted(mine))
        if not wanted:
            continue
        if not planned.line.wires_on:
            not_said.append((planned, wanted[0][2]))
        wrong = [one for one in wanted if planned.line.wires_on and one[0] != planned.line.wires_on]
        if wrong:
            side, water, place = wrong[0]
            yield Finding(
                "water-11", "warning",
                f"The wires hang on the {planned.line.wires_on} of the posts, upstream where the "
                f"{named(water, 'water')} flows through at {place.chainage_m:.1f} m: a flood presses them against the "
                "posts and takes both.", f"Hang the wires on the {side}, the downstream side, at least between the "
                "nearest ends.", place, _POPS_OFF)
    if not_said:
        yield _not_said(not_said)


def _wanted(mine: Sequence[Meeting]) -> Iterator[tuple[Side, Feature, Place]]:
    spans = spans_in([one.course for one in mine], [one.shape for one in mine])
    for one, where in zip(mine, spans, strict=True):
        parts, length = course_parts(one.shape), float(shapely.length(one.course))
        for low, high in where:
            at = (low + high) / 2.0
            side = downstream(one.course, at, parts, choice_of(one.feature, "flows"))
            if side and (one.planned.line.closed or 1.0 < at < length - 1.0):
                yield side, one.feature, spot(one.planned, at)


def _not_said(lines: Sequence[tuple[Planned, Place]]) -> Finding:
    names = [planned.line.name for planned, _ in lines]
    return Finding(
        "water-13", "note", f"On which side of the posts the wires hang is not said of {few_listed(names)}, where "
        f"water flows through {'it' if len(names) == 1 else 'them'}: downstream they come off and the posts stay.",
        "Say the side for each line, looking along it: left or right.",
        Place() if len(lines) > 1 else lines[0][1], _POPS_OFF)
