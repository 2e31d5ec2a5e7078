"""Live figures of a line while it is drawn: ground and slope length, bearing, turn, grade, the post that follows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.errors import PlannerError
from planner.geometry.arrays import Floats
from planner.geometry.bearings import bearing_of
from planner.settings import Settings
from planner.survey.ground import Ground
from planner.units import Degree, Metre

EVERY_M, MOST = 8.0, 48
"""Distance between the levels looked up under one leg, and how many there are at most."""
Place = tuple[Metre, Metre]


@dataclass(frozen=True, slots=True)
class LegFigures:
    """One leg.

    Attributes:
        ground_m: Ground plan length. [m]
        slope_m: Length along the ground. [m] None where no levels are known.
        grade_deg: Grade from its start to its end. [deg] None where no levels are known.
        rise_m: Level of its end above its start. [m] None where no levels are known.
    """

    ground_m: Metre
    slope_m: Metre | None = None
    grade_deg: Degree | None = None
    rise_m: Metre | None = None


@dataclass(frozen=True, slots=True)
class LineFigures:
    """A line as it stands while its last leg is being drawn.

    Attributes:
        leg: The last leg.
        bearing_deg: Its grid bearing. [deg]
        total_m: Ground plan length of the line. [m]
        slope_m: Length along the ground. [m] None where a leg has no known levels.
        turn_deg: Turn at the corner before it, left positive. [deg] None on the first leg.
        post: What the corner before it becomes: end, corner, deviation or straight.
    """

    leg: LegFigures
    bearing_deg: Degree
    total_m: Metre
    slope_m: Metre | None
    turn_deg: Degree | None
    post: str


class LegMeter:
    """Measures legs on the ground. Placed legs are kept, so that only the one in hand is looked up.

    Args:
        crs: Working grid; empty takes the grid for the ground.
        grounds: What knows levels, best first.
    """

    def __init__(self, crs: str, grounds: Sequence[Ground]) -> None:
        self._crs, self._grounds = crs, tuple(grounds)
        self._kept: dict[tuple[Place, Place], LegFigures] = {}
        self._scale: dict[tuple[int, int], float] = {}

    def leg(self, start: Place, end: Place) -> LegFigures:
        """Figures of one leg.

        Args:
            start: East and north. [m]
            end: East and north. [m]
        """
        grid = math.dist(start, end)
        levels = self._levels(start, end, grid)
        scale = self.scale_at(start, levels[0] if levels is not None else math.nan)
        if levels is None or not np.isfinite(levels).all() or grid == 0.0:
            return LegFigures(grid / scale)
        ground = grid / scale
        step = ground / (len(levels) - 1)
        rise = float(levels[-1] - levels[0])
        return LegFigures(ground, float(np.hypot(np.diff(levels), step).sum()), math.degrees(math.atan2(rise, ground)),
                          rise)

    def placed(self, start: Place, end: Place) -> LegFigures:
        """Figures of a leg that is placed, kept for the next time."""
        found = self._kept.get((start, end))
        if found is None:
            found = self._kept[start, end] = self.leg(start, end)
        return found

    def line(self, corners: Sequence[Place], end: Place, settings: Settings) -> LineFigures:
        """Figures of a line with one more corner.

        Args:
            corners: Corners placed, at least one. [m]
            end: Where the last leg ends now. [m]
            settings: Which turns make a corner, and which a deviation post.
        """
        leg = self.leg(corners[-1], end)
        before = [self.placed(a, b) for a, b in pairwise(corners)]
        slopes = [figures.slope_m for figures in (*before, leg)]
        known = [slope for slope in slopes if slope is not None]
        bearing = bearing_of(end[0] - corners[-1][0], end[1] - corners[-1][1]) if leg.ground_m else 0.0
        turn = turn_between(corners[-2], corners[-1], end) if len(corners) > 1 and leg.ground_m else None
        return LineFigures(leg, bearing, sum(figures.ground_m for figures in before) + leg.ground_m,
                           sum(known) if len(known) == len(slopes) else None, turn, post_at(turn, settings))

    def scale_at(self, place: Place, level: Metre = math.nan) -> float:
        """Grid length over ground length near a place; 1 where there is no grid.

        Args:
            place: East and north. [m]
            level: Ground level there. [m] NaN where unknown.
        """
        key = (round(place[0] / 500.0), round(place[1] / 500.0))
        if key not in self._scale:
            self._scale[key] = self._looked_up(place, level)
        return self._scale[key]

    def _looked_up(self, place: Place, level: Metre) -> float:
        if not self._crs:
            return 1.0
        from planner.survey.datum import combined_scale

        try:
            found = float(combined_scale(np.array([place]), np.array([level]), self._crs)[0])
        except PlannerError:
            return 1.0
        return found if math.isfinite(found) and found > 0.0 else 1.0

    def _levels(self, start: Place, end: Place, length: Metre) -> Floats | None:
        if not self._grounds:
            return None
        count = int(min(max(length / EVERY_M, 2), MOST))
        share = np.linspace(0.0, 1.0, count)[:, None]
        xy = np.asarray(start) + share * (np.asarray(end) - np.asarray(start))
        levels = np.full(count, np.nan)
        for ground in self._grounds:
            missing = ~np.isfinite(levels)
            if missing.any():
                try:
                    levels[missing] = ground.levels(xy[missing]).level_m
                except PlannerError:
                    continue
        return levels


def turn_between(before: Place, corner: Place, after: Place) -> Degree:
    """Turn at a corner, left positive. [deg]

    Args:
        before: Corner before it. [m]
        corner: The corner. [m]
        after: Corner after it. [m]

    Example:
        >>> turn_between((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))
        90.0
    """
    a = math.atan2(corner[1] - before[1], corner[0] - before[0])
    b = math.atan2(after[1] - corner[1], after[0] - corner[0])
    return math.degrees(math.remainder(b - a, 2.0 * math.pi))


def post_at(turn_deg: Degree | None, settings: Settings) -> str:
    """What stands where a line turns: end, corner, deviation or straight.

    Args:
        turn_deg: Turn. [deg] None at the end of a line.
        settings: Its limits.
    """
    if turn_deg is None:
        return "end"
    if abs(turn_deg) > settings.corner_deg + 1e-6:
        return "corner"
    return "deviation" if abs(turn_deg) > settings.deviation_deg + 1e-6 else "straight"


POST_WORDS = {"end": "end post", "corner": "corner post, a strain ends", "deviation": "deviation post",
              "straight": "no post of its own"}
"""What stands at a corner, in the words of the read-out."""


def turn_words(turn_deg: Degree | None) -> str:
    """A turn with its side.

    Args:
        turn_deg: Turn, left positive. [deg]

    Example:
        >>> turn_words(-12.34), turn_words(None)
        ('12.3° right', '–')
    """
    if turn_deg is None:
        return "–"
    if abs(turn_deg) < 0.05:
        return "straight on"
    return f"{abs(turn_deg):.1f}° {'left' if turn_deg > 0 else 'right'}"
