"""Services under and over the lines: where nothing is driven or dug before their owners have been asked."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import numpy as np
import shapely

from planner.findings import Finding
from planner.geometry.arrays import Floats, frozen
from planner.sources import COMMON_PRACTICE
from planner.surroundings.along import (
    Meeting,
    Spans,
    course_parts,
    directions,
    length_of,
    meetings,
    named,
    samples,
    spans_in,
    spot,
    with_distances,
)
from planner.surroundings.situation import Situation, chainage_at
from planner.survey.feature_meanings import choice_of, number_of
from planner.survey.features import Feature
from planner.units import Metre
from planner.wording import counted, few_listed

RULES = {
    "service-01": "no post is driven or dug near a buried service before its owner has shown where it lies",
    "service-02": "rammers and loaders keep clear of overhead lines",
    "service-03": "a long fence beside a power line is shown to the line's owner",
}
PARALLEL_DEG = 45.0
"""A fence at a steeper angle than this goes across a power line, not along it. [deg] Common practice, no source."""
_STEP_M: Metre = 2.5
_CALLED = {"not known": "service", "power": "power line", "telephone": "telephone line", "gas": "gas pipe",
           "water pipe": "water pipe"}


def check_services(situation: Situation) -> list[Finding]:
    """Mapped services that lines cross or come near, once for each line and service.

    Whether owners were asked stands in the list before the first post, not here.

    Args:
        situation: The situation.

    Source:
        5 m from buried services, 4 m for machines below overhead lines: common practice, no source; the service's owner
        and local rules say what holds.
    """
    settings = situation.settings

    def reach(feature: Feature) -> Metre:
        own = number_of(feature, "clearance")
        if own is not None:
            return own
        return settings.overhead_clear_m if _is_above(feature) else settings.service_clear_m

    near = meetings(situation, "service", reach)
    crossed = spans_in([one.course for one in near], [one.shape for one in near])
    each = {id(one.feature): (one.shape, max(reach(one.feature), 1e-3)) for one in near}
    zone = dict(zip(each, shapely.buffer([shape for shape, _ in each.values()], [far for _, far in each.values()],
                                         quad_segs=32), strict=True))
    zones = spans_in([one.course for one in near], [zone[id(one.feature)] for one in near])
    findings: list[Finding] = []
    for (one, away), crosses, spans in zip(with_distances(near), crossed, zones, strict=True):
        clear = reach(one.feature)
        if crosses or away < clear - 1e-6:
            told = _above if _is_above(one.feature) else _buried
            findings.append(told(one, crosses, spans, clear))
    return [*findings, *_beside_power(situation)]


def _is_above(feature: Feature) -> bool:
    return choice_of(feature, "lies") == "above ground"


def _where(one: Meeting, crosses: tuple[tuple[Metre, Metre], ...], verb: str) -> tuple[str, Metre]:
    """What the line does there, and the first place of it."""
    kind = _CALLED[choice_of(one.feature, "what")]
    if crosses:
        places = [f"{chainage_at(one.planned, (low + high) / 2.0):.1f} m" for low, high in crosses]
        return f"{verb} the {named(one.feature, kind)} at {few_listed(places)}", (crosses[0][0] + crosses[0][1]) / 2.0
    foot = shapely.shortest_line(one.course, one.shape)
    at = float(shapely.line_locate_point(one.course, shapely.get_point(foot, 0)))
    off = float(shapely.length(foot))
    return (f"Comes within {off:.1f} m of the {named(one.feature, kind)} at {chainage_at(one.planned, at):.1f} m", at)


def _buried(one: Meeting, crosses: tuple[tuple[Metre, Metre], ...], spans: tuple[tuple[Metre, Metre], ...],
            clear: Metre) -> Finding:
    where, at = _where(one, crosses, "Crosses")
    posts = _posts_in(one, spans)
    many = (f"{counted(len(posts), 'post')} {'stands' if len(posts) == 1 else 'stand'} within {clear:g} m of it as "
            f"mapped ({few_listed([f'{p:.1f} m' for p in posts])})" if posts else
            f"no post stands within {clear:g} m of it")
    return Finding(
        "service-01", "warning", f"{where}; {many}, and a map is not the ground.",
        "Ask before you dig: have its owner show where it lies; then dig those posts by hand or move them clear of it.",
        spot(one.planned, at), COMMON_PRACTICE)


def _above(one: Meeting, crosses: tuple[tuple[Metre, Metre], ...], spans: tuple[tuple[Metre, Metre], ...],
           clear: Metre) -> Finding:
    where, at = _where(one, crosses, "Passes under")
    posts = _posts_in(one, spans)
    many = f", where {counted(len(posts), 'post')} would be driven within {clear:g} m of it in plan" if posts else ""
    return Finding(
        "service-02", "warning", f"{where}{many}: a raised rammer, a loader or a wire that flies up can reach it.",
        "Ask its owner for the approach distance; keep machines and loose wire out of it, set those posts by hand or "
        "move them.", spot(one.planned, at), COMMON_PRACTICE)


def _posts_in(one: Meeting, spans: tuple[tuple[Metre, Metre], ...]) -> list[Metre]:
    """Chainages of the posts in some spans; two posts at one strainer are one place. [m]"""
    if not spans:
        return []
    at = np.round([post.chainage_m for post in one.planned.posts], 3)
    return [c for low, high in spans for c in np.unique(at[
        (at >= chainage_at(one.planned, low) - 1e-3) & (at <= chainage_at(one.planned, high) + 1e-3)]).tolist()]


def _beside_power(situation: Situation) -> Iterator[Finding]:
    settings = situation.settings

    def reach(feature: Feature) -> Metre:
        return settings.power_beside_m if _is_above(feature) and choice_of(feature, "what") == "power" else -1.0

    for one in meetings(situation, "service", reach):
        spans = _along(one, settings.power_beside_m)
        beside = length_of(one.planned, spans)
        if beside > settings.power_parallel_m + 1e-6:
            yield Finding(
                "service-03", "warning", f"Runs along the {named(one.feature, 'power line')} for {beside:.0f} m within "
                f"{settings.power_beside_m:g} m of it: a high-voltage line beside it can put a voltage on long wires.",
                "Ask its owner whether it is a high-voltage line, and where the fence needs breaks and earths.",
                spot(one.planned, spans[0][0]), COMMON_PRACTICE)


@lru_cache(maxsize=16)  # one line is asked about for each of its neighbours in turn
def _legs(course: Any) -> tuple[Floats, Any, Floats]:
    """Places along a line, the middle between each two of them, and the direction there."""
    at, points = samples(course, step_m=_STEP_M)
    heading = np.diff(shapely.get_coordinates(points), axis=0) / np.diff(at)[:, None]
    return at, shapely.line_interpolate_point(course, (at[:-1] + at[1:]) / 2.0), frozen(heading)


def _along(one: Meeting, within_m: Metre) -> Spans:
    """Where a line runs along a power line, near it; where it only goes across is left out."""
    parts = course_parts(one.shape)
    if not len(parts):
        return ()
    at, middle, heading = _legs(one.course)
    _, way, off = directions(parts, middle, within_m=within_m)
    holds = (np.abs((heading * way).sum(axis=1)) >= np.cos(np.radians(PARALLEL_DEG))) & (off <= within_m)
    edge = np.diff(np.concatenate(([0], holds.astype(np.int8), [0])))
    return tuple((float(at[a]), float(at[b])) for a, b in zip(
        np.flatnonzero(edge == 1), np.flatnonzero(edge == -1), strict=True))
