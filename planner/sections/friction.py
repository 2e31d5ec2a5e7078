"""Friction: what is left of a pull after the wire has been drawn round posts, and how far it turns on the way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.alignment.corners import Corner
from planner.geometry.arrays import Floats, SameByValue, frozen
from planner.profile.grade_breaks import GradeChain
from planner.units import Radian


@dataclass(frozen=True, eq=False)
class Turning(SameByValue):
    """Every place along a line where its wires turn, in plan or in profile.

    Attributes:
        chainage_m: Ground plan distance of each, rising; a place that turns both ways stands twice. [m] Shape (k,).
        turned_rad: Sum of all turns, plan and vertical, without sign, before each and in all. [rad] Shape (k + 1,).
        vertical_rad: The same for the vertical ones alone. [rad] Shape (k + 1,).
    """

    chainage_m: Floats
    turned_rad: Floats
    vertical_rad: Floats

    def before(self, chainage: Floats | float) -> tuple[Floats, Floats]:
        """Sum of all turns, and of the vertical ones, that stand before some chainages. [rad] Each shaped like them.

        Args:
            chainage: Ground plan distance. [m]
        """
        count = np.searchsorted(self.chainage_m, chainage, side="left")
        return self.turned_rad[count], self.vertical_rad[count]


def turning_along(corners: Sequence[Corner], chain: GradeChain) -> Turning:
    """Every turn of the wires of one line: its corners in plan, its grade breaks in profile.

    Args:
        corners: The line's corners; the turn at the two ends of a line is left out, as wires end there.
        chain: Its grades.
    """
    inner = corners[1:-1]
    at = np.concatenate(([c.chainage_m for c in inner], chain.chainage_m[1:-1]))
    plan = np.abs(np.radians([c.turn_deg for c in inner]))
    vertical = np.abs(np.radians(chain.break_deg[1:-1]))
    order = np.argsort(at, kind="stable")
    both = np.concatenate((plan, vertical))[order]
    vertical_only = np.concatenate((np.zeros(len(plan)), vertical))[order]
    return Turning(frozen(at[order]), frozen(np.concatenate(([0.0], np.cumsum(both)))),
                   frozen(np.concatenate(([0.0], np.cumsum(vertical_only)))))


def far_end_ratio(total_turn_rad: Radian, mu: float) -> float:
    """Tension at the far end over the pull, after the wire has been drawn round every post between.

    Args:
        total_turn_rad: Sum of all turns without sign, plan and vertical. [rad]
        mu: Friction of wire on post.

    Returns:
        exp(-mu * turn): 1 for a straight run.

    Source:
        Capstan equation of Euler and Eytelwein. Checked in tests/validation/test_capstan.py.

    Example:
        >>> round(far_end_ratio(math.pi, 0.25), 4)
        0.4559
    """
    return math.exp(-mu * total_turn_rad)
