"""Grade breaks: the fewest straight grades that stay within a tolerance of the ground."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.geometry.arrays import Floats, Integers, SameByValue, frozen
from planner.geometry.chains import fewest_chain
from planner.profile.ground_line import GroundLine
from planner.units import Metre

NOISE_TIMES = 2.0
"""The tolerance is never less than this many times the noise of the levels: common practice, no source."""


@dataclass(frozen=True, eq=False)
class GradeChain(SameByValue):
    """Straight grades along one line, end to end.

    Attributes:
        stations: Index of each chain vertex among the profile's points, first and last included. Shape (k,).
        chainage_m: Chainage of each. [m] Shape (k,).
        level_m: Level of each. [m] Shape (k,).
        break_deg: Break at each, atan(grade after) - atan(grade before): a dip is positive, a crest negative; 0 at
            the two ends. [deg] Shape (k,).
        tolerance_m: Tolerance it was found for. [m]
    """

    stations: Integers
    chainage_m: Floats
    level_m: Floats
    break_deg: Floats
    tolerance_m: float


def grade_chain(ground: GroundLine, *, tolerance_m: Metre) -> GradeChain:
    """The fewest straight grades, from profile point to profile point, that stay within a tolerance of the ground.

    Among all chains of so few grades, the one that lies closest to the ground in sum.

    Args:
        ground: Profile of one line, two points or more.
        tolerance_m: How far, measured upright, a grade may leave the ground. [m] Twice the noise of the ground's
            levels is taken where that is more, so that no break is made of noise.

    Returns:
        The grades, with the tolerance that was kept.

    Raises:
        OutOfRange: Fewer than two profile points, or a tolerance below zero.

    Source:
        H. Imai and M. Iri, "Polygonal approximations of a curve: formulations and algorithms" (1988). Checked in
        tests/unit/profile/test_grade_breaks.py.
    """
    tolerance = max(tolerance_m, NOISE_TIMES * ground.noise_m)
    stations = fewest_chain(ground.chainage_m, ground.level_m, tolerance=tolerance)
    chainage, level = ground.chainage_m[stations], ground.level_m[stations]
    slope = np.arctan2(np.diff(level), np.diff(chainage))
    breaks = np.concatenate(([0.0], np.degrees(np.diff(slope)), [0.0]))
    return GradeChain(frozen(stations, np.int64), frozen(chainage), frozen(level), frozen(breaks), tolerance)
