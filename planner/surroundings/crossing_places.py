"""Where fence lines meet water, and the crossing that each place asks for: its span, its depth, its banks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from planner.alignment.line import Crossing, FenceLine
from planner.geometry.lines import chainages, nearest_on, points_along
from planner.geometry.sound_shapes import sound_shape
from planner.profile.ground_line import GroundLine
from planner.profile.hollows import hollow_between
from planner.surroundings.along import SAME_M, spans_in
from planner.survey.feature_meanings import number_of
from planner.survey.features import Feature
from planner.units import Degree, Metre

USUAL_M, BANK_M = 20.0, 2.0
"""Span where nothing tells the width of the water; clear of each bank. [m] Common practice, no source."""
END_M = 1.0
"""A meeting nearer to a line's end than this is no crossing. [m] Common practice, no source."""
SAME_WATER_M = 40.0
"""Meetings with one water nearer to each other than this are its two banks. [m] Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Proposed:
    """A crossing that a line seems to need.

    Attributes:
        line: Name of the line.
        at_m: Grid distance of its middle along the line. [m]
        x: East of it. [m]
        y: North of it. [m]
        span_m: Its span. [m]
        water: What is crossed.
        is_measured: True when the span comes from the banks; False when it is only the usual one.
        depth_m: Depth of the bed below the straight between its anchors, to 0.1 m. [m] None where no level is known.
        slope_deg: Steepest grade of its banks. [deg] None where no level is known.
    """

    line: str
    at_m: Metre
    x: Metre
    y: Metre
    span_m: Metre
    water: str
    is_measured: bool
    depth_m: Metre | None = None
    slope_deg: Degree | None = None


def proposals(lines: Sequence[FenceLine], features: Sequence[Feature],
              grounds: Mapping[str, GroundLine] | None = None) -> tuple[Proposed, ...]:
    """Crossings where fence lines meet water and have none yet; where two waters are met at one place, one for both.

    Args:
        lines: Fence lines.
        features: What stands on the ground.
        grounds: Line name to its profile, as far as they are known.
    """
    waters = [f for f in features if f.meaning == "water"]
    shapes = [sound_shape(f.wkt) for f in waters]
    courses = [shapely.LineString(line.xy[:, :2]) for line in lines]
    pairs = [(n, f, s) for n, course in enumerate(courses) for f, s in zip(waters, shapes, strict=True)
             if not s.is_empty and course.intersects(s)]
    met = spans_in([courses[n] for n, _, _ in pairs], [s for _, _, s in pairs])
    found = [one for (n, feature, _), spans in zip(pairs, met, strict=True)
             for one in crossings_at(lines[n], spans, feature, (grounds or {}).get(lines[n].name))]
    return _one_a_place(found)


def _one_a_place(found: Sequence[Proposed]) -> tuple[Proposed, ...]:
    """Of proposals that overlap on one line, the one whose span is measured, and of those the widest."""
    kept: dict[str, list[Proposed]] = {}
    for one in sorted(found, key=lambda p: (not p.is_measured, -p.span_m)):
        others = kept.setdefault(one.line, [])
        if all(abs(one.at_m - other.at_m) >= (one.span_m + other.span_m) / 2.0 for other in others):
            others.append(one)
    chosen = {id(one) for others in kept.values() for one in others}
    return tuple(one for one in found if id(one) in chosen)


def crossings_at(line: FenceLine, spans: Sequence[tuple[Metre, Metre]], water: Feature,
                 ground: GroundLine | None) -> list[Proposed]:
    """What a line needs where it meets one water, and has not.

    Water drawn as an area, or as two banks, gives its width along the line, and two metres are added on each side;
    water drawn as one line gives the usual span, which is a guess, unless its width is known.

    Args:
        line: The line.
        spans: Grid distances between which it meets the water. [m]
        water: The water.
        ground: Profile of the line; None where it is not known.
    """
    length, known = float(chainages(line.xy)[-1]), number_of(water, "width")
    found = []
    for low, high in _waters(spans):
        measured = high - low > 0.5 or known is not None
        span = float(np.ceil(max(high - low, known or 0.0) + 2.0 * BANK_M - 1e-9)) if measured else USUAL_M
        at = (low + high) / 2.0
        if not line.closed and (at < END_M or at > length - END_M):
            continue  # a line that ends at the water does not cross it
        if any(spans_over(line, crossing, at, span) for crossing in line.crossings):
            continue
        x, y = (float(v) for v in points_along(line.xy, np.array([at]))[0])
        depth, slope = _hollow(line, ground, at, span)
        found.append(Proposed(line.name, at, x, y, span, water.name, measured, depth, slope))
    return found


def spans_over(line: FenceLine, crossing: Crossing, at_m: Metre, span_m: Metre = 0.0) -> bool:
    """Whether a crossing of a line stands over a place of it.

    Args:
        line: The line.
        crossing: One of its crossings.
        at_m: Grid distance of the place along the line. [m]
        span_m: Length of what is there. [m]
    """
    return abs(nearest_on(line.xy, (crossing.x, crossing.y))[0] - at_m) <= max(crossing.span_m, span_m) / 2.0 + SAME_M


def crossing_of(one: Proposed, name: str) -> Crossing:
    """The crossing that is proposed.

    Args:
        one: The proposal.
        name: Name for it.
    """
    return Crossing(name, one.x, one.y, one.span_m, one.depth_m)


def _waters(spans: Sequence[tuple[Metre, Metre]]) -> list[tuple[Metre, Metre]]:
    joined: list[tuple[Metre, Metre]] = []
    for low, high in sorted(spans):
        if joined and low - joined[-1][1] <= SAME_WATER_M:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _hollow(line: FenceLine, ground: GroundLine | None, at: Metre, span: Metre) -> Any:
    if ground is None:
        return None, None
    along = chainages(line.xy)
    if len(ground.vertices) != len(along):
        return None, None  # the profile is of the line as it was
    low, high = np.interp([at - span / 2.0, at + span / 2.0], along, ground.chainage_m[ground.vertices])
    hollow = hollow_between(ground, float(low), float(high))
    return (None, None) if hollow is None else (round(hollow.depth_m, 1), hollow.slope_deg)
