"""The strip cleared along the lines: what bush it takes, what road reserve and protected land it lies in.

No law is built in: what may be cleared is looked up by people, written into the settings with the day, and told beside
the figures.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely

from planner.findings import Finding
from planner.sources import COMMON_PRACTICE
from planner.surroundings.along import Meeting, by_line, length_of, meetings, named, spans_in, spot
from planner.surroundings.situation import Planned, Situation
from planner.survey.feature_meanings import choice_of
from planner.units import HECTARE_M2, Metre, SquareMetre
from planner.wording import few_listed

RULES = {
    "clearing-01": "what is cleared along a line may be cleared",
    "clearing-02": "no strip is cleared in a road reserve without its owner",
    "clearing-03": "no strip is cleared in a protected area without leave",
}
PLANTED = ("planted", "hedge")
"""Kinds that somebody planted: told of, but as a note."""
_LEAST_M2 = 1.0


def strip_of(course: Any, width_m: Metre) -> Any:
    """The strip cleared along a line, square at its ends.

    Args:
        course: The line.
        width_m: Its width, half to each side. [m]
    """
    return shapely.buffer(course, width_m / 2.0, cap_style="flat", join_style="mitre", mitre_limit=2.0)


def check_clearing(situation: Situation) -> list[Finding]:
    """What the cleared strips take and where they lie in land that others look after, once for each line and kind.

    Args:
        situation: The situation.

    Source:
        Areas: shapely, tested against rectangles counted by hand. The width is common practice, no source.
    """
    return [*_bush(situation), *_reserves(situation), *_protected(situation)]


def _bush(situation: Situation) -> Iterator[Finding]:
    settings = situation.settings
    found = meetings(situation, "vegetation", lambda _: settings.clearing_width_m / 2.0)
    for planned, mine in by_line(found):
        strip = strip_of(mine[0].course, settings.clearing_width_m)
        areas = _by_kind(strip, mine)
        total = sum(areas.values())
        if total < _LEAST_M2:
            continue
        kinds = [f"{_hectares(area)} {kind}" if kind != "not known" else f"{_hectares(area)} of a kind not known"
                 for kind, area in sorted(areas.items(), key=lambda pair: -pair[1])]
        only_planted = all(kind in PLANTED for kind in areas)
        rule, allowed = _limit_told(situation)
        yield Finding(
            "clearing-01", "note" if only_planted or allowed else "warning",
            f"A strip {settings.clearing_width_m:g} m wide along it takes bush or planting, {few_listed(kinds)}{rule}.",
            "Ask the local authority which rules hold there before anything is cut, or move the line out of it.",
            _first(planned, mine, strip), COMMON_PRACTICE)


def _by_kind(strip: Any, mine: list[Meeting]) -> dict[str, SquareMetre]:
    shapes: dict[str, list[Any]] = {}
    for one in mine:
        shapes.setdefault(choice_of(one.feature, "kind"), []).append(one.shape)
    areas = {kind: float(shapely.area(shapely.intersection(strip, shapely.unary_union(several))))
             for kind, several in shapes.items()}
    return {kind: area for kind, area in areas.items() if area > 0.0}


def _limit_told(situation: Situation) -> tuple[str, bool]:
    """What the settings say of local rules, and whether the strip keeps to them."""
    settings = situation.settings
    limit, on = settings.clearing_limit_m, settings.clearing_checked_on
    if limit <= 0.0:
        return "; no local rule has been written down", False
    when = f", looked up on {on}" if on else ", on a day that is not said"
    if settings.clearing_width_m <= limit + 1e-9:
        return f"; local rules let {limit:g} m be cleared{when}", bool(on)
    return f", {settings.clearing_width_m - limit:g} m wider than the {limit:g} m that local rules allow{when}", False


def _reserves(situation: Situation) -> Iterator[Finding]:
    half = situation.settings.clearing_width_m / 2.0
    for one in meetings(situation, "road reserve", lambda _: half):
        told = _told(one, situation, half)
        if told:
            who = one.feature.fact("authority") or "whoever manages the road"
            yield Finding(
                "clearing-02", "warning", f"A strip {2 * half:g} m wide along it lies {told} in the "
                f"{named(one.feature, 'road reserve')}.", f"Have {who} agree in writing before anything is cut, dug or "
                "parked there, or move the line.", _first(one.planned, [one], strip_of(one.course, 2 * half)),
                COMMON_PRACTICE)


def _protected(situation: Situation) -> Iterator[Finding]:
    half = situation.settings.clearing_width_m / 2.0
    for one in meetings(situation, "protected", lambda _: half):
        told = _told(one, situation, half)
        if told:
            who = one.feature.fact("authority") or "whoever protects it"
            yield Finding(
                "clearing-03", "warning", f"A strip {2 * half:g} m wide along it lies {told} in the "
                f"{named(one.feature, 'protected area')}.", f"Get leave from {who} before anything is cut or dug "
                "there, or move the line out of it.", _first(one.planned, [one], strip_of(one.course, 2 * half)),
                COMMON_PRACTICE)


def _told(one: Meeting, situation: Situation, half: Metre) -> str:
    """How much of a strip lies in an area, or beside an edge that was drawn as a line."""
    if one.shape.geom_type.endswith("Polygon"):
        area = float(shapely.area(shapely.intersection(strip_of(one.course, 2.0 * half), one.shape)))
        return f"with {_hectares(area)}" if area >= _LEAST_M2 else ""
    (spans,) = spans_in([one.course], [shapely.buffer(one.shape, half, cap_style="flat")])
    metres = length_of(one.planned, spans)
    return f"for {metres:.0f} m over the edge or" if metres >= 1.0 else ""


def _first(planned: Planned, mine: list[Meeting], strip: Any) -> Any:
    """The first place along the line where its strip takes something."""
    at = []
    for one in mine:
        part = shapely.intersection(strip, one.shape)
        if not shapely.is_empty(part):
            points = shapely.points(shapely.get_coordinates(part))
            at.append(float(np.min(shapely.line_locate_point(one.course, points))))
    return spot(planned, min(at, default=0.0))


def _hectares(area_m2: SquareMetre) -> str:
    return f"{area_m2 / HECTARE_M2:.2f} ha" if area_m2 >= 100.0 else f"{area_m2:.0f} m2"
