"""Grade breaks: the fewest straight grades that stay within a tolerance of the ground."""

from __future__ import annotations

from dataclasses import dataclass

from planner.geometry.arrays import Floats, Integers, SameByValue


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
