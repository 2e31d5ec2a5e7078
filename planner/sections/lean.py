"""Lean: how far the pickets of a mesh stand off plumb where the grade is not the one it is set for.

This program's own model of common practice: a mesh carries itself over a panel or three, so it follows the mean grade
over a window, not every bump; its knots let the pickets hinge within limits.
"""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Floats
from planner.profile.ground_line import GroundLine
from planner.units import Degree, Metre


def smoothed_grade(ground: GroundLine, at: Floats, *, from_m: Metre, to_m: Metre, window_m: Metre) -> Floats:
    """Mean grade over a window centred on some chainages, uphill positive. [deg] Shape (k,).

    The mean grade is the difference of level over the window divided by its plan length. Within half a window of an
    end of the section the window is cut off there, for the mesh ends there.

    Args:
        ground: Profile of the line.
        at: Chainages inside the section. [m] Shape (k,).
        from_m: Where the section starts. [m]
        to_m: Where it ends. [m]
        window_m: Length of the window. [m]

    Source:
        This program's own model of common practice.
    """
    low = np.maximum(at - window_m / 2, from_m)
    high = np.minimum(at + window_m / 2, to_m)
    rise = np.interp(high, ground.chainage_m, ground.level_m) - np.interp(low, ground.chainage_m, ground.level_m)
    return np.asarray(np.degrees(np.arctan2(rise, high - low)))


def turning_points(ground: GroundLine, *, from_m: Metre, to_m: Metre, window_m: Metre) -> Floats:
    """Chainages of a section between which its smoothed grade only rises or only falls. [m] Rising, ends included.

    The smoothed grade has its extremes at these places and nowhere else: where an edge of the window passes a profile
    point or starts to be cut off.

    Args:
        ground: Profile of the line.
        from_m: Where the section starts. [m]
        to_m: Where it ends. [m]
        window_m: Length of the window. [m]
    """
    half = window_m / 2
    first, last = np.searchsorted(ground.chainage_m, (from_m, to_m), side="left")
    inside = ground.chainage_m[first:last]
    at = np.concatenate((inside - half, inside + half, (from_m, to_m, from_m + half, to_m - half)))
    return np.unique(at[(at >= from_m) & (at <= to_m)])


def grade_range(ground: GroundLine, *, from_m: Metre, to_m: Metre, window_m: Metre) -> tuple[Degree, Degree]:
    """Least and greatest smoothed grade of a section, uphill positive. [deg]

    Args:
        ground: Profile of the line.
        from_m: Where the section starts. [m]
        to_m: Where it ends. [m]
        window_m: Length of the window. [m]
    """
    at = turning_points(ground, from_m=from_m, to_m=to_m, window_m=window_m)
    grade = smoothed_grade(ground, at, from_m=from_m, to_m=to_m, window_m=window_m)
    return float(grade.min()), float(grade.max())


def best_setting(grade_min_deg: Degree, grade_max_deg: Degree) -> tuple[Degree, Degree]:
    """The grade to set a mesh for so that its pickets lean least, and how far they then lean.

    Args:
        grade_min_deg: Least smoothed grade of the sub-run. [deg]
        grade_max_deg: Greatest. [deg]

    Returns:
        Reference grade and greatest lean. [deg] The middle of the range, and half of it.

    Source:
        This program's own model of common practice.

    Example:
        >>> best_setting(-2.0, 10.0)
        (4.0, 6.0)
    """
    return (grade_min_deg + grade_max_deg) / 2, (grade_max_deg - grade_min_deg) / 2
