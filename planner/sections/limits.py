"""Limits of a sub-run: lean, friction, longest strain and take-up, and by how much a piece breaks each."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np

from planner.geometry.arrays import Floats, SameByValue
from planner.settings import Settings
from planner.spec.fence_type import FenceType
from planner.units import Degree, Metre, Radian

_SLACK = 1e-9
_MOST = 1e6


@dataclass(frozen=True, slots=True)
class Limits:
    """What a piece of a section must keep to be strained by itself.

    Attributes:
        lean_deg: How far the pickets of its mesh may lean. [deg] None for fences without mesh.
        friction_mu: Friction of wire on post.
        far_end_ratio: Least share of the pull that must reach the far end.
        flat_m: Longest strain on even ground. [m]
        undulating_m: Longest strain on undulating ground. [m]
        undulating_deg_per_100m: Vertical turning above which ground is undulating. [deg per 100 m]
        travel_m: Usable travel of the strainers in one bite. [m]
        bites: Bites allowed.
    """

    lean_deg: Degree | None
    friction_mu: float
    far_end_ratio: float
    flat_m: Metre
    undulating_m: Metre
    undulating_deg_per_100m: float
    travel_m: Metre
    bites: int

    @property
    def turn_rad(self) -> Radian:
        """Most turning that leaves enough of the pull at the far end. [rad]"""
        return -math.log(self.far_end_ratio) / self.friction_mu if self.friction_mu > 0 else math.inf


def limits_of(fence: FenceType, settings: Settings) -> Limits:
    """The limits that hold for one fence type under some settings.

    Args:
        fence: Fence type.
        settings: Settings.
    """
    return Limits(
        fence.mesh.lean_limit_deg if fence.mesh else None, settings.friction_mu, settings.far_end_ratio_min,
        fence.max_strain_flat_m, fence.max_strain_undulating_m, settings.undulating_deg_per_100m,
        settings.usable_travel_m, settings.bites_allowed)


@dataclass(frozen=True, eq=False)
class Pieces(SameByValue):
    """Measures of many pieces of a section at once; every field has the same shape.

    Attributes:
        slope_m: Length along the ground. [m]
        turn_rad: Sum of all turns inside, plan and vertical. [rad]
        vertical_rad: Sum of the vertical ones. [rad]
        grade_min_deg: Least smoothed grade. [deg]
        grade_max_deg: Greatest. [deg]
        take_up_m: How far its wires come in. [m]
    """

    slope_m: Floats
    turn_rad: Floats
    vertical_rad: Floats
    grade_min_deg: Floats
    grade_max_deg: Floats
    take_up_m: Floats

    def __getitem__(self, index: tuple[int, int]) -> Pieces:
        """One of the pieces, every field a single number."""
        return Pieces(*(getattr(self, f.name)[index] for f in fields(self)))

    def turning_deg_per_100m(self) -> Floats:
        """Vertical turning in 100 m along the ground. [deg per 100 m]"""
        return np.asarray(np.degrees(self.vertical_rad) * 100 / self.slope_m)

    def longest_m(self, limits: Limits) -> Floats:
        """The longest strain that holds for each: the undulating one where the ground turns more than allowed. [m]

        Args:
            limits: Limits.
        """
        undulating = self.turning_deg_per_100m() > limits.undulating_deg_per_100m + _SLACK
        return np.where(undulating, limits.undulating_m, limits.flat_m)


def excess(pieces: Pieces, limits: Limits) -> Floats:
    """By how much each piece breaks its limits: the sum over the limits of the share above each. 0 when all are kept.

    Args:
        pieces: Pieces.
        limits: Limits; a value at its limit keeps it.
    """
    total = _above(pieces.slope_m, pieces.longest_m(limits))
    total = total + _above(pieces.turn_rad, np.asarray(limits.turn_rad))
    total = total + _above(pieces.take_up_m, np.asarray(limits.travel_m * limits.bites))
    if limits.lean_deg is not None:
        total = total + _above(pieces.grade_max_deg - pieces.grade_min_deg, np.asarray(2 * limits.lean_deg))
    return total


def _above(value: Floats, limit: Floats) -> Floats:
    share = value / np.maximum(limit, _SLACK) - 1
    return np.where(value > limit + _SLACK, np.clip(share, _SLACK, _MOST), 0.0)


def broken_limits(piece: Pieces, limits: Limits, *, from_m: Metre, to_m: Metre, thing: str) -> tuple[str, ...]:
    """Which limits one piece breaks, a sentence each with the figures, without a full stop.

    Args:
        piece: One piece, every field a single number.
        limits: Limits.
        from_m: Chainage where it starts. [m]
        to_m: Chainage where it ends. [m]
        thing: What to call what is strained, such as ``this mesh``.
    """
    where = f"from {from_m:.1f} m to {to_m:.1f} m"
    found = []
    if limits.lean_deg is not None:
        spread = float(piece.grade_max_deg - piece.grade_min_deg)
        if _above(np.asarray(spread), np.asarray(2 * limits.lean_deg)) > 0:
            found.append(
                f"{where} the grade ranges over {spread:.1f} deg ({float(piece.grade_min_deg):+.1f} to "
                f"{float(piece.grade_max_deg):+.1f}), over the {2 * limits.lean_deg:g} deg this mesh follows with "
                f"pickets leaning {limits.lean_deg:g} deg at most (this program's own model of common practice)")
    if _above(piece.turn_rad, np.asarray(limits.turn_rad)) > 0:
        left = math.exp(-limits.friction_mu * float(piece.turn_rad))
        found.append(
            f"{where} the wires turn by {math.degrees(float(piece.turn_rad)):.1f} deg in all, which leaves {left:.3f} "
            f"of the pull at the far end, under the {limits.far_end_ratio:g} asked for")
    found += _too_long(piece, limits, where, thing)
    travel = limits.travel_m * limits.bites
    if _above(piece.take_up_m, np.asarray(travel)) > 0:
        found.append(
            f"{where} the take-up is {float(piece.take_up_m):.2f} m, over the {travel:g} m that {limits.bites} "
            f"{'bite' if limits.bites == 1 else 'bites'} of {limits.travel_m:g} m give")
    return tuple(found)


def _too_long(piece: Pieces, limits: Limits, where: str, thing: str) -> list[str]:
    longest = piece.longest_m(limits)
    if not _above(piece.slope_m, longest) > 0:
        return []
    turning = float(piece.turning_deg_per_100m())
    word = "undulating" if turning > limits.undulating_deg_per_100m + _SLACK else "even"
    return [f"{float(piece.slope_m):.1f} m {where} is over the {float(longest):g} m {thing} is strained in on {word} "
            f"ground ({turning:.1f} deg of vertical turning per 100 m, limit {limits.undulating_deg_per_100m:g})"]
