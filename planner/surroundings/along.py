"""Where along fence lines things lie: stretches inside shapes, feet of features, places for findings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
import shapely

from planner.findings import Place
from planner.geometry.arrays import Booleans, Floats, frozen
from planner.geometry.lines import chainages
from planner.surroundings.situation import Planned, Situation, chainage_at
from planner.survey.features import Feature
from planner.units import Metre

SAME_M: Metre = 1e-6
"""What is nearer than this is at the same place: coordinates are no better rounded than that. [m]"""
Spans = tuple[tuple[Metre, Metre], ...]
"""From and to along a line, as grid distance. [m] Where a line only touches something, the two are the same."""


class Meeting(NamedTuple):
    """A line and a feature that come near each other.

    Attributes:
        number: Index of the line in the situation.
        planned: The line.
        course: Its course in the grid.
        feature: The feature.
        shape: Its shape.
    """

    number: int
    planned: Planned
    course: Any
    feature: Feature
    shape: Any


def meetings(situation: Situation, meaning: str, reach_m: Callable[[Feature], Metre]) -> tuple[Meeting, ...]:
    """Lines and the features of a meaning that they come as near to as each feature reaches.

    Args:
        situation: The situation.
        meaning: Meaning of the features.
        reach_m: How far a feature reaches; 0 asks for touching, below 0 leaves it out. [m]

    Returns:
        In the order of lines, then of features.
    """
    known = [(feature, shape, reach_m(feature)) for feature, shape in situation.around.of(meaning)]
    known = [one for one in known if one[2] >= 0.0]
    if not known or not len(situation.shapes):
        return ()
    shapes = np.array([shape for _, shape, _ in known], dtype=object)
    reach = np.array([far for _, _, far in known])
    which, line = shapely.STRtree(situation.shapes).query(shapes, predicate="dwithin", distance=reach)
    order = np.lexsort((which, line))
    return tuple(Meeting(int(n), situation.lines[n], situation.shapes[n], known[w][0], known[w][1])
                 for n, w in zip(line[order], which[order], strict=True))


def with_distances(found: Sequence[Meeting]) -> Iterator[tuple[Meeting, Metre]]:
    """Meetings, each with how far its line is from its shape. [m]

    Args:
        found: Meetings.
    """
    courses, shapes = (np.array(of, dtype=object) for of in ([m.course for m in found], [m.shape for m in found]))
    return zip(found, shapely.distance(courses, shapes).tolist(), strict=True)


def spans_in(courses: Sequence[Any], shapes: Sequence[Any]) -> list[Spans]:
    """Where each line lies in, on or through the shape beside it; those that touch end to end are one.

    Args:
        courses: Lines.
        shapes: Shapes, one to a line.

    Returns:
        Spans of each pair, in order along its line; empty where the two do not meet.
    """
    if not len(courses):
        return []
    lines, others = np.array(courses, dtype=object), np.array(shapes, dtype=object)
    parts, owner = shapely.get_parts(shapely.intersection(lines, others), return_index=True)
    there = ~shapely.is_empty(parts)
    parts, owner = parts[there], owner[there]
    is_point = shapely.get_type_id(parts) == 0
    middle = parts.copy()
    middle[~is_point] = shapely.line_interpolate_point(parts[~is_point], 0.5, normalized=True)
    at, half = shapely.line_locate_point(lines[owner], middle), shapely.length(parts) / 2.0
    found: list[list[tuple[Metre, Metre]]] = [[] for _ in courses]
    for k in np.lexsort((at - half, owner)).tolist():
        mine, low, high = found[int(owner[k])], float(at[k] - half[k]), float(at[k] + half[k])
        if mine and low - mine[-1][1] <= SAME_M:
            mine[-1] = (mine[-1][0], max(high, mine[-1][1]))
        else:
            mine.append((low, high))
    return [tuple(spans) for spans in found]


@lru_cache(maxsize=16)  # one line is asked about for each of its neighbours in turn
def samples(course: Any, *, step_m: Metre, most: int = 2000) -> tuple[Floats, Any]:
    """Places along a line: its corners and evenly between them.

    Args:
        course: The line.
        step_m: Greatest distance between two places. [m]
        most: No more than about so many places; a longer line gets them further apart.

    Returns:
        Grid distance of each place, and the places as points.
    """
    xy = shapely.get_coordinates(course)
    corners = chainages(xy)
    count = int(np.clip(np.ceil(corners[-1] / step_m), 1, most))
    at = frozen(np.union1d(np.linspace(0.0, corners[-1], count + 1), corners))
    return at, shapely.points(np.interp(at, corners, xy[:, 0]), np.interp(at, corners, xy[:, 1]))


def course_parts(shape: Any) -> Any:
    """The lines that a shape is drawn with: itself, its parts, or the edges of an area. Array of line strings.

    Args:
        shape: A line, an area or several of them; points have none.
    """
    edges = shapely.boundary(shape) if shape.geom_type.endswith("Polygon") else shape
    merged = shapely.line_merge(edges) if edges.geom_type == "MultiLineString" else edges
    return np.array([part for part in shapely.get_parts(merged)
                     if part.geom_type in ("LineString", "LinearRing") and not part.is_empty], dtype=object)


def directions(parts: Any, points: Any, *, reach_m: Metre = 0.5,
               within_m: Metre | Floats = np.inf) -> tuple[Floats, Floats, Floats]:
    """How the nearest of some lines runs beside each of some points.

    Args:
        parts: Line strings, at least one.
        points: Points.
        reach_m: Over what length to each side its direction is taken. [m]
        within_m: A point farther from all of them is not looked at closely: 0 for its foot and its direction. [m] One
            for all, or shape (n,).

    Returns:
        Foot of each point (shape (n, 2)), direction of the line there as drawn (unit vectors, shape (n, 2)), and
        distance (shape (n,)). [m]
    """
    away = np.array([shapely.distance(part, points) for part in parts]).reshape(len(parts), -1)
    off, foot, way = away.min(axis=0), np.zeros((len(points), 2)), np.zeros((len(points), 2))
    near = off <= within_m
    if near.any():
        foot[near], way[near] = _feet(parts[np.argmin(away[:, near], axis=0)], points[near], reach_m)
    return foot, way, off


def _feet(nearest: Any, points: Any, reach_m: Metre) -> tuple[Floats, Floats]:
    """Foot of each point on the line beside it, and direction of the line there."""
    at, whole = shapely.line_locate_point(nearest, points), shapely.length(nearest)
    foot = shapely.get_coordinates(shapely.line_interpolate_point(nearest, at))
    low = shapely.get_coordinates(shapely.line_interpolate_point(nearest, np.maximum(at - reach_m, 0.0)))
    high = shapely.get_coordinates(shapely.line_interpolate_point(nearest, np.minimum(at + reach_m, whole)))
    step = high - low
    return foot, step / np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-12)[:, None]


def runs_of(at: Floats, holds: Booleans) -> Spans:
    """Spans of neighbouring places at which something holds.

    Args:
        at: Grid distance of the places, rising. [m]
        holds: Whether it holds at each.
    """
    edge = np.diff(np.concatenate(([0], holds.astype(np.int8), [0])))
    return tuple((float(at[a]), float(at[b - 1])) for a, b in zip(
        np.flatnonzero(edge == 1), np.flatnonzero(edge == -1), strict=True))


def length_of(planned: Planned, spans: Iterable[tuple[Metre, Metre]]) -> Metre:
    """Ground plan length of some spans together. [m]

    Args:
        planned: Their line.
        spans: The spans, as grid distance. [m]
    """
    return sum(chainage_at(planned, high) - chainage_at(planned, low) for low, high in spans)


def spot(planned: Planned, grid_m: Metre) -> Place:
    """A place on a line, for a finding.

    Args:
        planned: The line.
        grid_m: Distance along its course in the grid. [m]
    """
    point = shapely.line_interpolate_point(shapely.LineString(planned.line.xy[:, :2]), grid_m)
    return Place(planned.line.name, chainage_m=round(chainage_at(planned, grid_m), 2), x=round(float(point.x), 2),
                 y=round(float(point.y), 2))


def spot_at(planned: Planned, chainage_m: Metre) -> Place:
    """The same by ground plan distance.

    Args:
        planned: The line.
        chainage_m: Ground plan distance from its start. [m]
    """
    x, y = planned.ground.place_at(chainage_m)
    return Place(planned.line.name, chainage_m=round(chainage_m, 2), x=round(float(x), 2), y=round(float(y), 2))


def by_line(found: Iterable[Meeting]) -> Iterator[tuple[Planned, list[Meeting]]]:
    """Meetings gathered by line, in the order of lines.

    Args:
        found: Meetings.
    """
    mine: dict[int, list[Meeting]] = {}
    for one in found:
        mine.setdefault(one.number, []).append(one)
    for several in mine.values():
        yield several[0].planned, several


def named(feature: Feature, what: str) -> str:
    """What to call a feature in a sentence.

    Args:
        feature: The feature.
        what: What it is, for one without a name.
    """
    return f"{what} '{feature.name}'" if feature.name else f"{what} without a name"
