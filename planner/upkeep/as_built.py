"""What was built against what was planned: how far off, and how long it is for the invoice."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from planner.geometry.arrays import Floats
from planner.geometry.lines import chainages
from planner.settings import Settings
from planner.surroundings.situation import Planned
from planner.units import Metre
from planner.upkeep.records import AsBuilt

_STEP_M = 2.0
_ALONG_M: Metre = 30.0
"""Farther off than this a place was not measured along the line. [m] Common practice, no source."""


@dataclass(frozen=True, slots=True)
class BuiltStretch:
    """One measured row of places against the line it was measured along.

    Attributes:
        name: Its name in the file.
        line: The line.
        from_m: Chainage at which it begins. [m]
        to_m: Chainage at which it ends. [m]
        planned_slope_m: Length along the ground of that stretch as planned. [m]
        measured_slope_m: Length as measured, along the ground: measured plan length times slope over plan of the
            stretch. [m] A walk with a handheld reads long; where it does, the planned length is nearer the truth.
        mean_off_m: Mean distance off the line. [m]
        greatest_off_m: Greatest distance off it. [m]
        greatest_at_m: Chainage at which that is. [m]
        x: East of that place. [m]
        y: North of that place. [m]
        explained_m: Distance off that the accuracy of both explains, at 95 %. [m]
        share: Share of the line that was measured.
    """

    name: str
    line: str
    from_m: Metre
    to_m: Metre
    planned_slope_m: Metre
    measured_slope_m: Metre
    mean_off_m: Metre
    greatest_off_m: Metre
    greatest_at_m: Metre
    x: Metre
    y: Metre
    explained_m: Metre
    share: float


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured, sorted out.

    Attributes:
        stretches: Stretches along lines, in the order of the records.
        unmatched: Records that run along no line, or name one that is not there.
    """

    stretches: tuple[BuiltStretch, ...]
    unmatched: tuple[AsBuilt, ...]


def built_against_plan(lines: Sequence[Planned], records: Sequence[AsBuilt], settings: Settings) -> Measured:
    """What was measured along the built fences against the planned lines.

    Each record is looked at every two metres and compared with the line it names, else with the nearest.

    Args:
        lines: Planned lines.
        records: What was measured, in the working grid.
        settings: Standard deviations of the accuracy classes.

    Source:
        Distances: shapely. What two accuracies explain at 95 %: 2.45 times their root sum of squares, the Rayleigh
        distribution of a distance in plan.
    """
    found, unmatched = [], []
    courses = [shapely.LineString(planned.line.xy[:, :2]) for planned in lines]
    tree, number_of = shapely.STRtree(courses), {p.line.name: k for k, p in reversed(list(enumerate(lines)))}
    for record in records:
        places = _places(record)
        number = number_of.get(record.line) if record.line and len(places) else _nearest_line(places, courses, tree)
        stretch = None if number is None else _stretch(record, places, lines[number], courses[number], settings)
        if stretch is None:
            unmatched.append(record)
        else:
            found.append(stretch)
    return Measured(tuple(found), tuple(unmatched))


def _places(record: AsBuilt) -> Floats:
    """Places of a record, in order. Shape (n, 2); empty where its shape cannot be read."""
    shape = shapely.from_wkt(record.wkt, on_invalid="ignore")
    if shape is None or shape.is_empty:
        return np.empty((0, 2))
    return np.asarray(shapely.get_coordinates(shape), dtype=np.float64)


def _nearest_line(places: Floats, courses: Sequence[shapely.LineString], tree: shapely.STRtree) -> int | None:
    """The line that lies nearest in the middle of some places, of those that one of them is near to."""
    points = shapely.points(places[:: max(1, len(places) // 200)])
    near = np.unique(tree.query(points, predicate="dwithin", distance=_ALONG_M)[1]).tolist()
    median = [float(np.median(shapely.distance(points, courses[k]))) for k in near]
    best = int(np.argmin(median)) if near else -1
    return near[best] if near and median[best] <= _ALONG_M else None


def _stretch(record: AsBuilt, places: Floats, planned: Planned, course: shapely.LineString,
             settings: Settings) -> BuiltStretch | None:
    walked = shapely.LineString(places) if len(places) > 1 else None
    dense = shapely.get_coordinates(shapely.segmentize(walked, _STEP_M)) if walked is not None else places
    points = shapely.points(dense)
    off = np.asarray(shapely.distance(points, course))
    near = off <= _ALONG_M
    if not near.any():
        return None
    grid = np.asarray(shapely.line_locate_point(course, points[near]))
    if planned.line.closed and walked is not None:
        grid = np.unwrap(grid, period=course.length)  # a walk may pass the ring's start
    low, high = float(grid.min()), min(float(grid.max()), float(grid.min()) + float(course.length))
    ground = planned.ground
    end = float(ground.chainage_m[-1])
    start, stop = _chainage(planned, low), _chainage(planned, high)
    slope_m = _slope(planned, stop) - _slope(planned, start)
    measured = walked.length * slope_m / (high - low) if walked is not None and high > low else 0.0
    worst = int(np.argmax(np.where(near, off, -1.0)))
    sd = math.hypot(planned.corner_sd_m, settings.sd_of(record.accuracy))
    return BuiltStretch(
        name=record.name, line=planned.line.name, from_m=start % end if start < end else start,
        to_m=stop - end if stop > end else stop, planned_slope_m=slope_m, measured_slope_m=measured,
        mean_off_m=float(off[near].mean()), greatest_off_m=float(off[worst]),
        greatest_at_m=_chainage(planned, float(shapely.line_locate_point(course, points[worst]))),
        x=float(dense[worst, 0]), y=float(dense[worst, 1]), explained_m=2.45 * sd, share=(stop - start) / end)


def _chainage(planned: Planned, at: Metre) -> Metre:
    """Chainage of a place at a grid distance along a line; a ring goes on round after round. [m]"""
    ground, grid = planned.ground, chainages(planned.line.xy)
    rounds = math.floor(at / grid[-1])
    return float(rounds * ground.chainage_m[-1]
                 + np.interp(at - rounds * grid[-1], grid, ground.chainage_m[ground.vertices]))


def _slope(planned: Planned, chainage: Metre) -> Metre:
    """Distance along the ground at a chainage, round after round. [m]"""
    ground = planned.ground
    rounds = math.floor(chainage / ground.chainage_m[-1])
    return float(rounds * ground.slope_m[-1] + ground.slope_at(chainage - rounds * ground.chainage_m[-1]))
